import { fail, ok } from '@tidemark/kernel';
import type { Result } from '@tidemark/kernel';

/** Q: 1 is a new event, 3 its restoral, 6 a report that an earlier condition is still present (FACTS 5A.02). */
export type Qualifier = 1 | 3 | 6;

/** One Contact ID block, `ACCT MT Q XYZ GG CCC S`, read (FACTS 5A). */
export interface ContactIdBlock {
  /** Four digits, `A` written as `0`. */
  readonly account: string;
  readonly qualifier: Qualifier;
  /** XYZ, three digits. */
  readonly code: string;
  /** GG; `00` is none. */
  readonly partition: string;
  /** CCC: a zone, or a user with some codes; 0 is none. */
  readonly zone: number;
}

/** Why text is not a block. */
export type BlockFailure =
  'not-sixteen-digits' | 'unknown-message-type' | 'unknown-qualifier' | 'zone-not-decimal' | 'wrong-checksum';

const layout = /^[0-9A-F]{16}$/;

/** Spaces are for the eye only; `A` is another way to write 0 (FACTS 5A.03). */
const digitsOf = (text: string): string => text.replace(/[ \t\r\n]/g, '').toUpperCase();

/** Sixteen digits and generous spacing; longer text is not looked at. */
const maximumBlock_characters = 64;

/** Whether text without a content type is a Contact ID block: sixteen digits and nothing else. */
export const looksLikeContactId = (text: string): boolean =>
  text.length <= maximumBlock_characters && layout.test(digitsOf(text));

/** Reads a block, with or without spaces, in either case of letters. */
export function parseBlock(text: string): Result<ContactIdBlock, BlockFailure> {
  const digits = digitsOf(text);
  if (!layout.test(digits)) return fail('not-sixteen-digits');
  if (checksum(digits.slice(0, 15)) !== (digits[15] === 'A' ? '0' : digits[15])) return fail('wrong-checksum');
  const plain = digits.replaceAll('A', '0');
  const messageType = digits.slice(4, 6);
  if (messageType !== '18' && messageType !== '98') return fail('unknown-message-type');
  const qualifier = Number(digits[6]);
  if (qualifier !== 1 && qualifier !== 3 && qualifier !== 6) return fail('unknown-qualifier');
  if (!/^\d{3}$/.test(plain.slice(12, 15))) return fail('zone-not-decimal');
  return ok({
    account: plain.slice(0, 4),
    qualifier,
    code: plain.slice(7, 10),
    partition: plain.slice(10, 12),
    zone: Number(plain.slice(12, 15)),
  });
}

/** Writes a block with spaces between its fields, message type 18, checksum included. */
export function formatBlock({ account, qualifier, code, partition, zone }: ContactIdBlock): string {
  const ccc = String(zone).padStart(3, '0');
  const fields = [account, '18', `${qualifier}${code}`, partition, ccc];
  return [...fields, checksum(fields.join(''))].join(' ');
}

/**
 * S: what brings the sum of all digits to a multiple of 15, where 0 counts 10 (FACTS 5A.04). A remainder of 10 is
 * therefore the digit 0, and no remainder is F.
 */
export function checksum(digits: string): string {
  const sum = Array.from(digits).reduce((total, digit) => total + (digit === '0' ? 10 : Number.parseInt(digit, 16)), 0);
  const missing = (15 - (sum % 15)) % 15;
  if (missing === 0) return 'F';
  return missing === 10 ? '0' : missing.toString(16).toUpperCase();
}
