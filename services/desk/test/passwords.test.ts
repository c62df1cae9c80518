import { describe, expect, it } from 'vitest';
import { hashPassword, isPassword, nobodysHash, weaknessOf } from '../src/access/passwords.ts';

const costOf = (hash: string): string => hash.split('$').slice(0, 4).join('$');

describe('a password', () => {
  it('costs the same to check for a name that nobody has', async () => {
    const hash = await hashPassword('four gulls over the quay');

    // OWASP Password Storage Cheat Sheet (from memory): argon2id with 19 MiB, 2 passes and 1 lane at least.
    expect(costOf(hash)).toBe('$argon2id$v=19$m=19456,t=2,p=1');
    expect(costOf(nobodysHash)).toBe(costOf(hash));
    expect(
      nobodysHash
        .split('$')
        .slice(4)
        .map((part) => part.length),
    ).toEqual(
      hash
        .split('$')
        .slice(4)
        .map((part) => part.length),
    );
    expect(await isPassword('four gulls over the quay', undefined)).toBe(false);
    expect(await isPassword('four gulls over the quay', hash)).toBe(true);
  });

  it('has a salt of its own each time', async () => {
    expect(await hashPassword('four gulls over the quay')).not.toBe(await hashPassword('four gulls over the quay'));
  });

  it.each([
    ['four gulls over the quay', undefined],
    ['123456789012345678', 'It is a sequence of neighbours.'],
    ['zyxwvutsrqponmlkji', 'It is a sequence of neighbours.'],
    ['abababababababababab', 'It repeats a few characters.'],
    ['Tidemark m.berg 123', 'It is made of names that anybody would try.'],
    ['password-deluge-tidemark', 'It is made of names that anybody would try.'],
  ])('is looked at for what anybody would try: %s', (password, weakness) => {
    expect(weaknessOf(password, 'm.berg')).toBe(weakness);
  });
});
