import type { Position } from '@tidemark/journal';
import { fc, test } from '@fast-check/vitest';
import { describe, expect, it } from 'vitest';
import { positionsFor, withPositions } from '../src/access/wire-positions.ts';

const here = positionsFor(new Set(['quayside-cold-store', 'mill-2']));
const there = positionsFor(new Set(['saltmarsh-substation']));
const all = positionsFor('all');

const positions = fc.bigInt({ min: 0n, max: 2n ** 63n - 1n }).map((value) => value as Position);

describe('a journal position on its way to somebody bound to accounts', () => {
  test.prop([positions])('is read back by who sees the same accounts and by who sees all, and by nobody else', (at) => {
    const told = here.write(at);

    expect(told).toMatch(/^\d{1,39}$/);
    expect(positionsFor(new Set(['mill-2', 'quayside-cold-store'])).read(told)).toBe(at);
    expect(there.read(told)).toBeUndefined();
    expect(all.readOwn(told)).toBeUndefined();
  });

  test.prop([fc.bigInt({ min: 0n, max: 10n ** 39n - 1n })])('is not guessed', (guess) => {
    expect(here.read(guess.toString())).toBeUndefined();
  });

  it('tells nothing of how far apart two are', () => {
    const first = BigInt(here.write(1_000n as Position));
    const second = BigInt(here.write(1_001n as Position));

    expect(second - first > 1_000_000n || first - second > 1_000_000n).toBe(true);
  });

  it('is sealed wherever it stands in an answer, and nothing else is', () => {
    const answer = {
      position: '7',
      positions: [{ position: 'open' }],
      items: [{ position: '8', count: 8 }],
      note: '7',
    };

    expect(withPositions(answer, (at) => `sealed ${at}`)).toEqual({
      position: 'sealed 7',
      positions: [{ position: 'open' }],
      items: [{ position: 'sealed 8', count: 8 }],
      note: '7',
    });
  });
});
