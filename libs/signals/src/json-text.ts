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
  const flaw = findFlaw(text);
  return flaw === undefined ? ok(value) : fail(flaw);
}

const [quote, backslash, openBrace, openBracket, closeBrace, closeBracket, colon] = [34, 92, 123, 91, 125, 93, 58];

/** Walks text that is known to be JSON for what `JSON.parse` does not tell: nesting and keys given twice. */
function findFlaw(text: string): Refusal | undefined {
  const keysOfOpen: (Set<string> | undefined)[] = [];
  let index = 0;
  while (index < text.length) {
    const code = text.charCodeAt(index);
    if (code === quote) {
      const end = endOfString(text, index);
      const keys = keysOfOpen.at(-1);
      if (keys !== undefined && isFollowedByColon(text, end)) {
        const key = keyOf(text.slice(index, end));
        if (keys.has(key)) return refusal('duplicate-key', `The key "${key}" is given twice in one object.`);
        keys.add(key);
      }
      index = end;
      continue;
    }
    if (code === openBrace) keysOfOpen.push(new Set());
    else if (code === openBracket) keysOfOpen.push(undefined);
    else if (code === closeBrace || code === closeBracket) keysOfOpen.pop();
    if (keysOfOpen.length > maximumDepth)
      return refusal('too-deep', `The payload nests deeper than ${maximumDepth} levels; a signal needs two.`);
    index += 1;
  }
  return undefined;
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

function isFollowedByColon(text: string, end: number): boolean {
  let index = end;
  while (text.charCodeAt(index) <= 32) index += 1;
  return text.charCodeAt(index) === colon;
}

/** The key as it is meant: `"st\u0061te"` is `state`. */
const keyOf = (token: string): string => (token.includes('\\') ? (JSON.parse(token) as string) : token.slice(1, -1));
