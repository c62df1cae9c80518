import { test as property, fc } from '@fast-check/vitest';
import type { RiserEvent } from '@tidemark/riser';
import { describe, expect, it } from 'vitest';
import { learnt, narrowed } from '../src/narrowing.ts';
import type { LearnedSpan } from '../src/narrowing.ts';
import { active, periodicTest, profileWith, reset, restored, signal, tellStory, trip } from './story.ts';

const profile = profileWith('link: { supervisionSeconds: 90000 }\n');

/** A clean trip and restoration that begins at a time and whose chamber refills in so many seconds. */
const cleanTrip = (begin: number, refill_s: number): readonly RiserEvent[] => [
  periodicTest(begin - 30),
  ...trip(begin),
  signal(begin + 60, { kind: 'act', name: 'silence' }),
  active(begin + 600, 'supply-valve'),
  restored(begin + 700, 'waterflow'),
  restored(begin + 900, 'manual-pull'),
  reset(begin + 1_000),
  restored(begin + 1_000.1, 'solenoid'),
  restored(begin + 1_000 + refill_s, 'prime-pressure-low'),
  active(begin + 1_000 + refill_s + 0.5, 'supply-valve'),
  restored(begin + 1_300, 'supply-valve'),
  reset(begin + 1_400),
];

describe('a clean trip and restoration', () => {
  it('narrows the refill, so that a slow one that nobody would have minded before is told', () => {
    const slow = cleanTrip(10_000, 7);

    expect(tellStory(profile, slow, 12_000).raised).toEqual([]);
    expect(tellStory(profile, [...cleanTrip(100, 0.3), ...slow], 12_000).raised).toEqual(['late-signal']);
  });

  it('raises nothing when it is repeated', () => {
    const often = [0.2, 0.4, 0.15, 0.6, 0.3].flatMap((refill_s, index) => cleanTrip(100 + index * 5_000, refill_s));

    expect(tellStory(profile, often, 26_000).raised).toEqual([]);
    expect(tellStory(profile, often, 26_000).twin.learned.resetToPrimeRestored?.tests).toBe(5);
  });

  it('teaches only when it is over', () => {
    const { twin } = tellStory(profile, cleanTrip(100, 0.3).slice(0, -1), 1_450);

    expect(twin.learned).toEqual({});
  });

  it('teaches nothing when a reset came too early', () => {
    const early = [...cleanTrip(100, 0.3)];
    early.splice(7, 0, reset(850));

    expect(tellStory(profile, early, 2_000).twin.learned).toEqual({});
  });

  it('teaches the same when its last signals are reordered within the latency', () => {
    const straight = [...cleanTrip(100, 0.3).slice(0, -2), restored(1_497, 'supply-valve'), reset(1_500)];
    const late = [...straight.slice(0, -2), reset(1_500), restored(1_504, 'supply-valve', { observed: 1_497 })];

    expect(tellStory(profile, straight, 2_000).twin.learned.resetToPrimeRestored?.tests).toBe(1);
    expect(tellStory(profile, late, 2_000).twin.learned).toEqual(tellStory(profile, straight, 2_000).twin.learned);
  });
});

describe('a narrowed window', () => {
  const spans = fc.array(fc.double({ min: 0.01, max: 20, noNaN: true }), { minLength: 1, maxLength: 20 });
  const scans = fc.double({ min: 0.1, max: 5, noNaN: true });
  const prior = { min_s: 0.11, max_s: 11 };
  const after = (observed: readonly number[], scan_s: number): LearnedSpan | undefined =>
    observed.reduce<LearnedSpan | undefined>((learned, span_s) => learnt(learned, span_s, scan_s), undefined);

  property.prop([spans, scans], { seed: 20261125 })(
    'is never wider than the prior, nor turned round',
    (observed, scan_s) => {
      const window = narrowed(prior, after(observed, scan_s), scan_s);

      expect(window.min_s).toBeGreaterThanOrEqual(prior.min_s);
      expect(window.max_s).toBeLessThanOrEqual(prior.max_s);
      expect(window.min_s).toBeLessThanOrEqual(window.max_s);
    },
  );

  property.prop([fc.double({ min: 0.3, max: 3, noNaN: true }), fc.integer({ min: 2, max: 20 })], { seed: 20261125 })(
    'draws together on a span that repeats, and surely holds it',
    (span_s, times) => {
      const once = narrowed(prior, after([span_s], 1), 1);
      const often = narrowed(
        prior,
        after(
          Array.from({ length: times }, () => span_s),
          1,
        ),
        1,
      );

      expect(often.max_s - often.min_s).toBeLessThanOrEqual(once.max_s - once.min_s);
      expect(often.min_s).toBeLessThanOrEqual(span_s);
      expect(often.max_s).toBeGreaterThanOrEqual(span_s);
    },
  );

  it('gives like measurements like weights: the second of two takes half (Kalman 1960, equal variances)', () => {
    const first = learnt(undefined, 2, 1);
    const second = learnt({ ...first, mean_s: 2 }, 2.001, 1);

    expect(second.mean_s - 2).toBeCloseTo(0.0005, 3);
    expect(second.variance_s2).toBeCloseTo(first.variance_s2 / 2, 1);
  });
});
