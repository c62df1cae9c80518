import { fc, test } from '@fast-check/vitest';
import { describe, expect, it } from 'vitest';
import { foldedAxis, placeOf, ticksOf } from '../web/src/timeline/axis.ts';

const seconds = (...list: number[]): number[] => list.map((each) => each * 1_000);

/** A cascade of two seconds, seven quiet minutes, a shutdown of a minute and a half. */
const story = seconds(0, 0.3, 0.6, 1.2, 426, 437, 470, 530);

const anyStory = fc.array(fc.integer({ min: 0, max: 10_000_000 }), { minLength: 1, maxLength: 40 });

describe('the axis that folds', () => {
  it('folds the quiet minutes and gives the two seconds of the cascade room', () => {
    const axis = foldedAxis(story, 800);

    expect(axis.map(({ kind, from_ms, to_ms }) => [kind, from_ms, to_ms])).toEqual([
      ['stretch', 0, 1_200],
      ['fold', 1_200, 426_000],
      ['stretch', 426_000, 530_000],
    ]);
    expect(axis[0]!.right - axis[0]!.left).toBeGreaterThan(200);
  });

  it('does not fold a pause shorter than three quarters of a minute', () => {
    expect(foldedAxis(seconds(0, 44), 800).map(({ kind }) => kind)).toEqual(['stretch']);
    expect(foldedAxis(seconds(0, 46), 800).map(({ kind }) => kind)).toEqual(['stretch', 'fold', 'stretch']);
  });

  it('has at most six folds, however many pauses there are', () => {
    const pauses = Array.from({ length: 12 }, (_none, index) => 60_000 * 4 ** index);

    expect(foldedAxis(pauses, 800).filter(({ kind }) => kind === 'fold')).toHaveLength(6);
    expect(foldedAxis(pauses, 300).filter(({ kind }) => kind === 'fold')).toHaveLength(3);
  });

  it('is linear where moments come evenly: there is no busier stretch to make room for', () => {
    const even = Array.from({ length: 30 }, (_none, index) => index * 3_600_000);

    expect(foldedAxis(even, 800).map(({ kind }) => kind)).toEqual(['stretch']);
  });

  test.prop([anyStory, fc.integer({ min: 400, max: 1_600 })])(
    'keeps the order of moments, within its width',
    (moments, width) => {
      const axis = foldedAxis(moments, width);
      const places = moments.toSorted((left, right) => left - right).map((each) => placeOf(each, axis));

      expect(places).toEqual(places.toSorted((left, right) => left - right));
      expect(places[0]).toBeGreaterThanOrEqual(0);
      expect(places.at(-1)).toBeLessThanOrEqual(width + 1e-6);
    },
  );

  test.prop([anyStory])('labels moments where they stand, in order and apart', (moments) => {
    const axis = foldedAxis(moments, 900);
    const ticks = ticksOf(axis);

    for (const [index, tick] of ticks.entries()) {
      expect(tick.x).toBeCloseTo(placeOf(tick.at_ms, axis), 6);
      if (index > 0) expect(tick.x - ticks[index - 1]!.x).toBeGreaterThanOrEqual(34);
    }
    expect(ticks[0]!.brief).toBe(false);
  });
});
