import type { Result } from '@tidemark/kernel';
import { fail, ok } from '@tidemark/kernel';
import type { Refusal } from '@tidemark/signals';

/**
 * No line that the reader takes has more bytes: it takes 131,072 characters (room for a payload of 64 KiB in base64),
 * and a character has three bytes at most. More of a line is never held.
 */
export const longestLine_bytes = 3 * 131_072;

const utf8 = new TextDecoder('utf-8', { fatal: true });

/** The bytes of a line as text, without a byte order mark; or why they are none. `length` is the whole line's. */
export function lineText(bytes: Uint8Array, length: number): Result<string, Refusal> {
  if (length > longestLine_bytes)
    return fail({
      reason: 'too-large',
      detail: `The line has ${length} bytes; expected at most ${longestLine_bytes}.`,
    });
  try {
    return ok(utf8.decode(bytes));
  } catch {
    return fail({ reason: 'not-utf8', detail: 'The line is not well-formed UTF-8; expected JSON text in UTF-8.' });
  }
}
