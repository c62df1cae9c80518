import { scryptSync } from 'node:crypto';
import { Credential, hashPassword, verifyPassword } from '@tidemark/ingest';
import { describe, expect, it } from 'vitest';

const bytes = (text: string): Buffer => Buffer.from(text);

describe('a password hash', () => {
  it('verifies its password and no other', async () => {
    const hash = await hashPassword('bollard');

    expect(await verifyPassword(bytes('bollard'), hash)).toBe(true);
    expect(await verifyPassword(bytes('bollarD'), hash)).toBe(false);
    expect(await verifyPassword(bytes(''), hash)).toBe(false);
  });

  it('is salted, and says its cost', async () => {
    const [one, two] = await Promise.all([hashPassword('bollard'), hashPassword('bollard')]);

    expect(one).not.toBe(two);
    expect(one).toMatch(/^scrypt:32768:8:3:/);
  });

  it('is scrypt as RFC 7914 has it', async () => {
    // RFC 7914, section 12, third vector: N = 16384, r = 8, p = 1; its first 32 bytes.
    const expected = '7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2';
    const salt = bytes('SodiumChloride').toString('base64');
    const hash = `scrypt:16384:8:1:${salt}:${Buffer.from(expected, 'hex').toString('base64')}`;

    expect(await verifyPassword(bytes('pleaseletmein'), hash)).toBe(true);
  });

  it('that costs more than ours is refused without being computed', async () => {
    const key = scryptSync('x', 'salt', 32, { N: 1_024, r: 8, p: 1 }).toString('base64');

    expect(await verifyPassword(bytes('x'), `scrypt:1024:8:1:${bytes('salt').toString('base64')}:${key}`)).toBe(true);
    expect(await verifyPassword(bytes('x'), `scrypt:1048576:8:1:${bytes('salt').toString('base64')}:${key}`)).toBe(
      false,
    );
  });
});

describe('a credential', () => {
  it('is refused with a plain password, or a name that is no account', async () => {
    const passwordHash = await hashPassword('bollard');

    expect(Credential.safeParse({ username: 'a', passwordHash, account: 'quay' }).success).toBe(true);
    expect(Credential.safeParse({ username: 'a', passwordHash: 'bollard', account: 'quay' }).success).toBe(false);
    expect(Credential.safeParse({ username: 'a', passwordHash, account: 'quay/+' }).success).toBe(false);
    expect(Credential.safeParse({ username: 'a', passwordHash, account: 'quay', riser: '#' }).success).toBe(false);
  });
});
