import { fc, test } from '@fast-check/vitest';
import { instant } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import { DeadlineHeap } from '../src/deadline-heap.ts';
import type { Due } from '../src/index.ts';
import { DeadlineKeeper, dueLimit } from '../src/index.ts';
import { clockAt, start, until } from './support.ts';

const at = (ms: number) => instant(start + ms);

const keeperOf = (follow: (due: Due, keeper: DeadlineKeeper) => void = () => undefined) => {
  const time = clockAt();
  const batches: (readonly Due[])[] = [];
  const keeper: DeadlineKeeper = new DeadlineKeeper({
    time,
    reached: (due) => {
      batches.push(due);
      for (const each of due) follow(each, keeper);
      return Promise.resolve();
    },
  });
  return { time, keeper, batches };
};

describe('a deadline keeper', () => {
  it('reaches each deadline when the clock does, and not before', async () => {
    const { time, keeper, batches } = keeperOf();
    await keeper.start();
    keeper.set('a', at(500));

    time.advance(499);
    await until(() => time.waiting === 1);
    expect(batches).toEqual([]);
    time.advance(1);
    await until(() => batches.length === 1);

    expect(batches).toEqual([[{ key: 'a', at: at(500) }]]);
    await keeper.stop();
  });

  it('acts on no deadline before it is started, then on those that are past, in their order', async () => {
    const { time, keeper, batches } = keeperOf();
    keeper.set('late', at(300));
    keeper.set('b', at(100));
    keeper.set('a', at(100));
    keeper.set('future', at(5_000));
    time.advance(1_000);
    expect(batches).toEqual([]);

    await keeper.start();

    expect(batches).toEqual([
      [
        { key: 'a', at: at(100) },
        { key: 'b', at: at(100) },
        { key: 'late', at: at(300) },
      ],
    ]);
    expect(keeper.next()).toEqual({ key: 'future', at: at(5_000) });
    await keeper.stop();
  });

  it('has reached what a past deadline brings about when its start resolves', async () => {
    const { time, keeper, batches } = keeperOf((due, own) => {
      if (due.at < at(300)) own.set(due.key, instant(due.at + 100));
    });
    keeper.set('a', at(100));
    time.advance(1_000);

    await keeper.start();

    expect(batches.flat().map((due) => due.at - start)).toEqual([100, 200, 300]);
    await keeper.stop();
  });

  it('keeps the newest deadline of a key only, and none that was taken away', async () => {
    const { time, keeper, batches } = keeperOf();
    await keeper.start();
    keeper.set('a', at(100));
    keeper.set('a', at(200));
    keeper.set('b', at(150));
    keeper.set('b', undefined);

    time.advance(250);
    await until(() => batches.length === 1);

    expect(batches).toEqual([[{ key: 'a', at: at(200) }]]);
    await keeper.stop();
  });

  it('does not reach a deadline again that its key still names', async () => {
    const { time, keeper, batches } = keeperOf((due, own) => own.set(due.key, due.at));
    keeper.set('a', at(0));

    await keeper.start();
    time.advance(60_000);
    await until(() => time.waiting === 0);

    expect(batches).toEqual([[{ key: 'a', at: at(0) }]]);
    await keeper.stop();
  });

  it('looks at the clock again at least every ten seconds', async () => {
    const { time, keeper } = keeperOf();
    await keeper.start();
    keeper.set('a', at(86_400_000));

    time.advance(9_999);
    expect(time.waiting).toBe(1);
    time.advance(1);
    await until(() => time.waiting === 1);

    await keeper.stop();
    expect(time.waiting).toBe(0);
  });

  it('reaches at most a thousand at a time', async () => {
    const { keeper, batches } = keeperOf();
    for (let key = 0; key <= dueLimit; key += 1) keeper.set(String(key), at(0));

    await keeper.start();

    expect(batches.map(({ length }) => length)).toEqual([dueLimit, 1]);
    await keeper.stop();
  });

  it('ends with the bug when the work on a deadline throws', async () => {
    const time = clockAt();
    const keeper = new DeadlineKeeper({ time, reached: () => Promise.reject(new Error('bug')) });
    await keeper.start();
    keeper.set('a', at(10));

    time.advance(10);

    await expect(keeper.ended).rejects.toThrow('bug');
  });
});

describe('a heap of deadlines', () => {
  const change = fc.record({
    key: fc.constantFrom('a', 'b', 'c', 'd', 'e'),
    at: fc.option(fc.nat(50), { nil: undefined }),
  });

  test.prop([fc.array(change, { maxLength: 400 })])(
    'gives what a sorted map of the newest deadlines would',
    (changes) => {
      const heap = new DeadlineHeap();
      const expected = new Map<string, number>();
      for (const { key, at: ms } of changes) {
        heap.set(key, ms === undefined ? undefined : at(ms));
        if (ms === undefined) expected.delete(key);
        else expected.set(key, ms);
      }

      const taken: [string, number][] = [];
      for (let due = heap.takeDue(at(50)); due !== undefined; due = heap.takeDue(at(50)))
        taken.push([due.key, due.at - start]);

      expect(taken).toEqual(
        [...expected].sort(([one, first], [other, second]) => first - second || (one < other ? -1 : 1)),
      );
      expect({ size: heap.size, earliest: heap.earliest() }).toEqual({ size: 0, earliest: undefined });
    },
  );
});
