import { randomBytes, scrypt, timingSafeEqual } from 'node:crypto';
import { z } from 'zod';

/** A client that may enter the embedded broker, and whose topics it may use. */
export const Credential = z
  .strictObject({
    username: z.string().min(1).max(128),
    /** As `hashPassword` writes it; never the password. */
    passwordHash: z.string().regex(/^scrypt:\d+:\d+:\d+:[A-Za-z0-9+/=]+:[A-Za-z0-9+/=]+$/),
    account: z.string().regex(/^[a-z0-9][a-z0-9-]{0,62}$/),
    /** Absent: every riser of the account. */
    riser: z
      .string()
      .regex(/^[a-z0-9][a-z0-9-]{0,62}$/)
      .optional(),
  })
  .readonly();

/** A client's name, the hash of its password, and the account and riser it is bound to. */
export type Credential = z.infer<typeof Credential>;

/** Cost of scrypt (RFC 7914): 32 MiB and three passes, one of the settings that OWASP's password cheat sheet lists (from memory). */
const cost = { N: 2 ** 15, r: 8, p: 3 } as const;
const hash_bytes = 32;
const salt_bytes = 16;

/** Twice what scrypt needs, 128 * N * r bytes. */
const memory_bytes = 2 * 128 * cost.N * cost.r;

interface Cost {
  readonly N: number;
  readonly r: number;
  readonly p: number;
}

/** `scrypt:N:r:p:salt:hash`, salt and hash as base64; what `Credential.passwordHash` holds. */
export async function hashPassword(password: string): Promise<string> {
  const salt = randomBytes(salt_bytes);
  const hash = await derive(Buffer.from(password), salt, cost);
  return ['scrypt', cost.N, cost.r, cost.p, salt.toString('base64'), hash.toString('base64')].join(':');
}

/** Whether the password is the one that was hashed. Takes as long for a wrong one. A hash that costs more than ours is refused. */
export async function verifyPassword(password: Uint8Array, passwordHash: string): Promise<boolean> {
  const [, N, r, p, salt, hash] = passwordHash.split(':');
  const given: Cost = { N: Number(N), r: Number(r), p: Number(p) };
  if (given.N > cost.N || given.r > cost.r || given.p > cost.p) return false;
  const expected = Buffer.from(hash ?? '', 'base64');
  if (expected.length !== hash_bytes) return false;
  return timingSafeEqual(await derive(password, Buffer.from(salt ?? '', 'base64'), given), expected);
}

const derive = (password: Uint8Array, salt: Buffer, { N, r, p }: Cost): Promise<Buffer> =>
  new Promise((resolve, reject) => {
    scrypt(password, salt, hash_bytes, { N, r, p, maxmem: memory_bytes }, (error, key) => {
      if (error === null) resolve(key);
      else reject(error);
    });
  });
