import { hash, randomBytes, timingSafeEqual } from 'node:crypto';

/** 256 bits from the system's source, as 43 characters of base64url: for cookies, tokens and one-time links. */
export const newSecret = (): string => randomBytes(32).toString('base64url');

/** What is kept of a secret. Plain SHA-256 is enough: 256 random bits cannot be guessed, so nothing need slow a guess down. */
export const keptOf = (secret: string): string => hash('sha256', secret);

/** Whether two texts are the same, in a time that does not tell where they differ. */
export function isSame(given: string, wanted: string): boolean {
  return timingSafeEqual(hash('sha256', given, 'buffer'), hash('sha256', wanted, 'buffer'));
}
