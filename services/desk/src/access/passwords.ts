import { hash, verify } from '@node-rs/argon2';
import { passwordShortest_characters } from '@tidemark/api';

/** The library's name for it is a constant that exists for the compiler only. */
const argon2id = 2;

/** The cost of a hash: argon2id with 19 MiB, 2 passes, 1 lane (OWASP Password Storage Cheat Sheet, from memory). */
const cost = { algorithm: argon2id, memoryCost: 19_456, timeCost: 2, parallelism: 1 } as const;

/** A hash that no password has, of the same cost: checking a name that nobody has takes as long as one that somebody has. */
export const nobodysHash =
  '$argon2id$v=19$m=19456,t=2,p=1$dGlkZW1hcmsgbm9ib2R5IQ$AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA';

/** The hash of a password, with its salt and cost in it (PHC string format). */
export const hashPassword = (password: string): Promise<string> => hash(composed(password), cost);

/** Whether the password is the one hashed. Without a hash it takes as long, and is wrong. */
export async function isPassword(password: string, hashed: string | undefined): Promise<boolean> {
  const right = await verify(hashed ?? nobodysHash, composed(password));
  return right && hashed !== undefined;
}

/** One text for what looks the same: an accent typed on two keyboards (RFC 8265, 4.2.2: NFC). */
const composed = (password: string): string => password.normalize('NFC');

/** Fewer different characters than this is a pattern, not a secret. A choice of this project. */
const fewestDifferent = 6;

/**
 * Why a password is too easy to guess, if it is. Besides length, which the contract checks, NIST SP 800-63B-4 asks to
 * compare with what is commonly used or expected (from memory): passwords of fifteen characters that are common are
 * repetitions, sequences and names, so these are what is looked for.
 */
export function weaknessOf(password: string, name: string): string | undefined {
  const plain = password.normalize('NFC').toLowerCase();
  if (new Set(plain).size < fewestDifferent) return 'It repeats a few characters.';
  if (isSequence(plain)) return 'It is a sequence of neighbours.';
  const rest = [name, 'tidemark', 'password', 'deluge'].reduce((left, word) => left.replaceAll(word, ''), plain);
  if (rest.length < passwordShortest_characters / 2) return 'It is made of names that anybody would try.';
  return undefined;
}

/** Each character is the neighbour of the one before, but for a few turns: `abcdefghijklmno`, `1234567890123456`. */
function isSequence(text: string): boolean {
  const codes = Array.from(text, (character) => character.codePointAt(0) ?? 0);
  const steps = codes.slice(1).filter((code, index) => Math.abs(code - (codes[index] ?? 0)) === 1);
  return steps.length >= (codes.length - 1) * 0.8;
}
