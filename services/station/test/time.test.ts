import { instant } from '@tidemark/kernel';
import { TestClock } from '@tidemark/runtime';
import { describe, expect, it } from 'vitest';
import { acceleratedTime } from '../src/index.ts';

describe('accelerated time', () => {
  it('runs so many times as fast, from the moment it is made, for its clock and its timers alike', () => {
    const real = new TestClock(instant(1_000_000));
    const fast = acceleratedTime(real, 10);
    const fired: number[] = [];
    fast.after(60_000, () => fired.push(fast.now()));

    expect(fast.now()).toBe(1_000_000);
    real.advance(5_999);
    expect(fired).toEqual([]);
    real.advance(1);

    expect(fired).toEqual([1_060_000]);
  });
});
