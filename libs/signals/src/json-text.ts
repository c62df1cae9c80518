import { fail, ok } from '@tidemark/kernel';
import type { Result } from '@tidemark/kernel';
import { refusal } from './rejection.ts';
import type { Refusal } from './rejection.ts';

/** 64 KiB: what CloudEvents 1.0 asks every consumer to accept (FACTS 7.24); larger payloads are refused unread. */
export const maximumPayload_bytes = 65_536;

/** A signal nests two deep; room for a newer one, none for an attack on whoever reads it later. */
const maximumDepth = 16;

/** Strict, and without a leading byte order mark: RFC 8259, 8.1 lets a reader ignore one. */
const utf8 = new TextDecoder('utf-8', { fatal: true });

/** Bytes as text: neither empty, nor too large, nor ill-formed UTF-8. */
export function readText(payload: Uint8Array): Result<string, Refusal> {
  if (payload.byteLength === 0)
    return fail(refusal('empty-payload', 'The payload is empty; expected a signal or a link message.'));
  if (payload.byteLength > maximumPayload_bytes)
    return fail(
      refusal(
        'too-large',
        `The payload has ${payload.byteLength} bytes; expected at most ${maximumPayload_bytes} (64 KiB).`,
      ),
    );
  try {
    return ok(utf8.decode(payload));
  } catch {
    return fail(refusal('not-utf8', 'The payload is not well-formed UTF-8; expected JSON text in UTF-8.'));
  }
}

/**
 * Text as JSON, one meaning only: a key given twice in an object is refused (I-JSON, RFC 7493, 2.3), since readers
 * differ in which of the two they believe.
 */
export function readJson(text: string): Result<unknown, Refusal> {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return fail(refusal('not-json', 'The payload is not JSON text (RFC 8259); expected one JSON object.'));
  }
  const flaw = findFlaw(text, value);
  return flaw === undefined ? ok(value) : fail(flaw);
}

const [quote, backslash, openBrace, openBracket, closeBrace, closeBracket, colon] = [34, 92, 123, 91, 125, 93, 58];

/** Walks text that is known to be JSON for what `JSON.parse` does not tell: nesting, and keys it has overwritten. */
function findFlaw(text: string, value: unknown): Refusal | undefined {
  let [index, depth, keys] = [0, 0, 0];
  while (index < text.length) {
    const code = text.charCodeAt(index);
    if (code === quote) index = endOfString(text, index) - 1;
    else if (code === colon) keys += 1;
    else if (code === openBrace || code === openBracket) depth += 1;
    else if (code === closeBrace || code === closeBracket) depth -= 1;
    if (depth > maximumDepth)
      return refusal('too-deep', `The payload nests deeper than ${maximumDepth} levels; a signal needs two.`);
    index += 1;
  }
  return keys === countKeys(value)
    ? undefined
    : refusal('duplicate-key', 'A key is given twice in one object; expected each key once.');
}

function countKeys(value: unknown): number {
  if (typeof value !== 'object' || value === null) return 0;
  const members: readonly unknown[] = Object.values(value);
  const own = Array.isArray(value) ? 0 : members.length;
  return members.reduce((total: number, member) => total + countKeys(member), own);
}

/** The index after the closing quote of the string that opens at `start`. */
function endOfString(text: string, start: number): number {
  let index = text.indexOf('"', start + 1);
  while (isEscaped(text, index)) index = text.indexOf('"', index + 1);
  return index + 1;
}

function isEscaped(text: string, index: number): boolean {
  let before = index - 1;
  while (text.charCodeAt(before) === backslash) before -= 1;
  return (index - before) % 2 === 0;
}
