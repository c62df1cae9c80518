import { recordMoments } from '@tidemark/api';
import { formatInstant, instant } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import { recordAround } from '../src/reading/diagnosis.ts';

const receipts = (count: number) => Array.from({ length: count }, (_none, index) => instant(index * 1_000));
const at = (index: number): string => formatInstant(instant(index * 1_000));

describe('the moments of a record', () => {
  it('are all named while a slider has places for them, and none is next to the ends', () => {
    const { moments, before, after } = recordAround(receipts(3), instant(0));

    expect({ moments, before, after }).toEqual({ moments: [at(0), at(1), at(2)], before: undefined, after: at(1) });
    expect(recordAround(receipts(3), instant(2_000))).toMatchObject({ before: at(1) });
    expect(recordAround(receipts(3), instant(2_000))).not.toHaveProperty('after');
  });

  it('are evenly chosen from a long record, first and last among them, and every receipt stays next to another', () => {
    const { moments, before, after, events } = recordAround(receipts(10_001), instant(5_000_500));

    expect(moments).toHaveLength(recordMoments);
    expect([moments[0], moments.at(-1)]).toEqual([at(0), at(10_000)]);
    expect(new Set(moments).size).toBe(recordMoments);
    expect({ events, before, after }).toEqual({ events: 10_001, before: at(5_000), after: at(5_001) });
  });

  it('are none where nothing was received', () => {
    expect(recordAround([], instant(0))).toEqual({ events: 0, moments: [] });
  });
});
