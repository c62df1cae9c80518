import type { Result } from '@tidemark/kernel';
import { fail, ok } from '@tidemark/kernel';
import type { Document } from 'yaml';
import { isMap, isNode, isPair, LineCounter, parseDocument } from 'yaml';
import type { z } from 'zod';

/** One mistake in a file a person wrote, said so that it can be mended without asking. */
export interface FileMistake {
  readonly file: string;
  readonly line: number;
  /** Where in the file, as keys parted by dots, e.g. `points.2.signal`; empty for the file as a whole. */
  readonly key: string;
  /** What was expected there. */
  readonly expected: string;
}

/** One mistake as a line of text: `deluge-1.riser.yaml:7: points.2.signal: expected …`. */
export const describeMistake = (mistake: FileMistake): string =>
  `${mistake.file}:${mistake.line}: ${mistake.key === '' ? '' : `${mistake.key}: `}${mistake.expected}`;

/** A mistake that shows only in the light of another file, at its line of this one; `path` leads to it from the top. */
export function mistakeAt(
  text: string,
  file: string,
  { path, expected }: { readonly path: readonly (string | number)[]; readonly expected: string },
): FileMistake {
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines });
  return { file, line: lineOf(path, { file, document, lines }), key: path.join('.'), expected };
}

/** The largest file read: a profile or scenario is a few kilobytes. */
const limit_characters = 1_000_000;

/** Reads a YAML file through a schema; each mistake names the file, the line, the key and what was expected. */
export function readYaml<Schema extends z.ZodType>(
  schema: Schema,
  text: string,
  file: string,
): Result<z.output<Schema>, readonly FileMistake[]> {
  if (text.length > limit_characters)
    return fail([{ file, line: 1, key: '', expected: `expected at most ${limit_characters} characters` }]);
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines, uniqueKeys: true, strict: true });
  if (document.errors.length > 0)
    return fail(
      document.errors.map((error) => ({
        file,
        line: lines.linePos(error.pos[0]).line,
        key: '',
        expected: `expected YAML: ${error.message.split('\n')[0] ?? error.code}`,
      })),
    );
  const value: unknown = toValue(document);
  const parsed = schema.safeParse(value);
  if (parsed.success) return ok(parsed.data);
  return fail(
    parsed.error.issues.flatMap((issue) => mistakesOf(issue, { file, document, lines })).slice(0, limit_mistakes),
  );
}

/** So many mistakes are enough for one reading. */
const limit_mistakes = 50;

function toValue(document: Document): unknown {
  try {
    return document.toJS({ maxAliasCount: 100 });
  } catch {
    return undefined;
  }
}

interface Place {
  readonly file: string;
  readonly document: Document;
  readonly lines: LineCounter;
}

function mistakesOf(issue: z.core.$ZodIssue, place: Place): readonly FileMistake[] {
  if (issue.code === 'unrecognized_keys')
    return issue.keys.map((key) => ({
      file: place.file,
      line: lineOf([...issue.path, key], place),
      key: [...issue.path, key].map(String).join('.'),
      expected: 'expected no such key',
    }));
  return [
    {
      file: place.file,
      line: lineOf(issue.path, place),
      key: issue.path.map(String).join('.'),
      expected: expectation(issue),
    },
  ];
}

function expectation(issue: z.core.$ZodIssue): string {
  if (issue.code === 'invalid_type' && issue.message.includes('received undefined'))
    return `expected this key with a value of type ${issue.expected}, it is missing`;
  return issue.message.startsWith('expected') ? issue.message : `expected ${lowerFirst(issue.message)}`;
}

const lowerFirst = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);

/** The line of the deepest part of the path that the file has. */
function lineOf(path: readonly PropertyKey[], { document, lines }: Place): number {
  for (let depth = path.length; depth > 0; depth -= 1) {
    const offset = offsetOf(document, path.slice(0, depth));
    if (offset !== undefined) return lines.linePos(offset).line;
  }
  const top = isNode(document.contents) ? document.contents.range?.[0] : undefined;
  return lines.linePos(top ?? 0).line || 1;
}

function offsetOf(document: Document, path: readonly PropertyKey[]): number | undefined {
  const parent: unknown = path.length === 1 ? document.contents : document.getIn(path.slice(0, -1), true);
  if (isMap(parent)) {
    const pair = parent.items.find((item) => isPair(item) && String(item.key) === String(path.at(-1)));
    const key = pair?.key;
    return isNode(key) ? key.range?.[0] : undefined;
  }
  const node: unknown = document.getIn(path, true);
  return isNode(node) ? node.range?.[0] : undefined;
}
