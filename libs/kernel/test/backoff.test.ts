import { fc, test } from '@fast-check/vitest';
import { seededRandom } from '@tidemark/kernel';
import { delayBefore_ms } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';

const backoff = { first_ms: 100, longest_ms: 5_000 };

describe('a backoff', () => {
  test.prop([fc.nat(10_000), fc.integer()])(
    'lies in the upper half of a doubling that ends at the longest',
    (attempt, seed) => {
      const delay_ms = delayBefore_ms(attempt, backoff, seededRandom(seed));

      const ceiling_ms = attempt > 5 ? 5_000 : 100 * 2 ** attempt;
      expect(delay_ms).toBeGreaterThanOrEqual(ceiling_ms / 2);
      expect(delay_ms).toBeLessThanOrEqual(ceiling_ms);
    },
  );

  it('differs from one client to the next', () => {
    const delays = Array.from({ length: 20 }, (_, seed) => delayBefore_ms(8, backoff, seededRandom(seed)));

    expect(new Set(delays).size).toBeGreaterThan(15);
  });
});
