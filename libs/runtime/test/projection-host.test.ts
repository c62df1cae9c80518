import { MemoryJournal } from '@tidemark/journal';
import { InvariantViolated } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import type { Change } from '../src/index.ts';
import { ProjectionHost } from '../src/index.ts';
import type { Entry } from './support.ts';
import { add, clockAt, entry, fold, ledger, random, recorded, until } from './support.ts';

const hostOf = (journal: MemoryJournal, over: Partial<typeof fold> = {}) => {
  const host = new ProjectionHost({ journal, fold: { ...fold, ...over }, time: clockAt(), random: random() });
  const changes: Change<number, Entry, string>[] = [];
  host.onChange((change) => void changes.push(change));
  return { host, changes };
};

const states = (host: ProjectionHost<number, Entry, string>) =>
  Object.fromEntries(host.keys().map((key) => [key, host.get(key)]));

describe('a projection host', () => {
  it('folds each stream by itself and tells of every event in journal order', async () => {
    const journal = new MemoryJournal();
    await add(journal, 'a', entry('opened', 4));
    await add(journal, 'b', entry('opened', 1));
    await add(journal, 'a', entry('added', 7));
    const { host, changes } = hostOf(journal);

    await host.start();
    await add(journal, 'b', entry('added', 1));
    await until(() => changes.length === 4);

    expect(states(host)).toEqual({ a: 11, b: 2 });
    expect(changes.map(({ key, before, after, outputs, live }) => ({ key, before, after, outputs, live }))).toEqual([
      { key: 'a', before: undefined, after: 4, outputs: [], live: false },
      { key: 'b', before: undefined, after: 1, outputs: [], live: false },
      { key: 'a', before: 4, after: 11, outputs: ['ten'], live: false },
      { key: 'b', before: 1, after: 2, outputs: [], live: true },
    ]);
    expect(changes.map((change) => change.recorded)).toEqual(await recorded(journal));
    expect(host.position()).toBe(await journal.head());
    await host.stop();
  });

  it('leaves out what it cannot decode or begin with, says where, and goes on', async () => {
    const journal = new MemoryJournal();
    const early = await add(journal, 'a', entry('added', 1));
    const unknown = await add(journal, 'a', entry('opened', 1), entry('audited', 1));
    const malformed = await add(journal, 'a', entry('added', 'many'));
    await add(journal, 'a', entry('added', 2));
    const { host } = hostOf(journal);

    await host.start();

    expect(states(host)).toEqual({ a: 3 });
    const stream = ledger('a');
    expect(host.leftOut).toEqual({
      count: 3,
      newest: [
        { position: early, stream, revision: 0n, type: 'added', reason: 'a stream cannot begin with it' },
        { position: unknown, stream, revision: 2n, type: 'audited', reason: 'audited is not known' },
        { position: malformed, stream, revision: 3n, type: 'added', reason: 'sum: expected a number' },
      ],
    });
    await host.stop();
  });

  it('remembers the newest hundred left out and counts all', async () => {
    const journal = new MemoryJournal();
    await add(journal, 'a', ...Array.from({ length: 101 }, () => entry('audited', 1)));
    const { host } = hostOf(journal);

    await host.start();

    const { count, newest } = host.leftOut;
    expect({ count, kept: newest.length, first: newest[0]?.revision, last: newest.at(-1)?.revision }).toEqual({
      count: 101,
      kept: 100,
      first: 1n,
      last: 100n,
    });
    await host.stop();
  });

  it('waits for a slow listener before the next event', async () => {
    const journal = new MemoryJournal();
    await add(journal, 'a', entry('opened', 1), entry('added', 1));
    const { host } = hostOf(journal);
    const released: (() => void)[] = [];
    host.onChange(() => new Promise<void>((resolve) => released.push(resolve)));

    const started = host.start();
    await until(() => released.length === 1);
    expect(states(host)).toEqual({ a: 1 });
    released[0]!();
    await until(() => released.length === 2);
    released[1]!();
    await started;

    expect(states(host)).toEqual({ a: 2 });
    await host.stop();
  });

  it('is folded up to a position only when its listeners are done with it', async () => {
    const journal = new MemoryJournal();
    const { host } = hostOf(journal);
    let release: (() => void) | undefined;
    host.onChange(() => new Promise<void>((resolve) => (release = resolve)));
    await host.start();
    let reached = false;

    const position = await add(journal, 'a', entry('opened', 1));
    const folded = host.foldedUpTo(position).then(() => (reached = true));
    await until(() => release !== undefined);
    expect({ reached, state: host.get('a') }).toEqual({ reached: false, state: 1 });
    release!();
    await folded;

    await host.foldedUpTo(position);
    await host.stop();
  });

  it('goes on from a capture to the same states as from the beginning', async () => {
    const journal = new MemoryJournal();
    await add(journal, 'a', entry('opened', 4));
    const first = hostOf(journal).host;
    await first.start();
    const capture = first.capture();
    await add(journal, 'a', entry('added', 5));
    await add(journal, 'b', entry('opened', 1));
    await first.foldedUpTo((await journal.head())!);

    const second = hostOf(journal);
    await second.host.start(capture);

    expect(capture).toEqual({ position: (await recorded(journal))[0]!.position, states: new Map([['a', 4]]) });
    expect(states(second.host)).toEqual(states(first));
    expect(second.changes.map(({ recorded: { revision } }) => revision)).toEqual([1n, 0n]);
    await Promise.all([first.stop(), second.host.stop()]);
  });

  it('ends with the bug when the fold throws', async () => {
    const journal = new MemoryJournal();
    await add(journal, 'a', entry('opened', 1));
    const { host } = hostOf(journal, {
      step: () => {
        throw new InvariantViolated('a ledger has an owner');
      },
    });

    await expect(host.start()).rejects.toThrow(new InvariantViolated('a ledger has an owner'));
    await expect(host.ended).rejects.toThrow(InvariantViolated);
  });
});
