import { MemoryJournal } from '@tidemark/journal';
import type { Position, RecordedEvent } from '@tidemark/journal';
import { InvariantViolated } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import type { Handled, SubscriptionHealth } from '../src/index.ts';
import { Subscription } from '../src/index.ts';
import { add, AilingJournal, clockAt, entry, ledger, prefix, random, recorded, start, until } from './support.ts';

const setUp = (
  journal: MemoryJournal,
  options: {
    readonly checkpoint?: string;
    readonly handle?: (event: RecordedEvent, stop: AbortSignal) => Handled | Promise<Handled>;
  } = {},
) => {
  const time = clockAt();
  const seen: Position[] = [];
  const health: SubscriptionHealth['state'][] = [];
  const subscription = new Subscription({
    journal,
    prefixes: [prefix],
    time,
    random: random(),
    handle: (event) => {
      seen.push(event.position);
      return 'handled';
    },
    ...options,
  });
  subscription.onHealth(({ state }) => health.push(state));
  return { time, seen, health, subscription };
};

const positions = async (journal: MemoryJournal): Promise<readonly Position[]> =>
  (await recorded(journal)).filter(({ stream }) => stream.startsWith(prefix)).map(({ position }) => position);

describe('a subscription', () => {
  it('delivers history, says that it is live, and goes on with what is recorded then', async () => {
    const journal = new MemoryJournal();
    await add(journal, 'a', entry('opened', 1), entry('added', 2));
    const { subscription, seen, health } = setUp(journal);

    await subscription.start();
    expect(subscription.health).toEqual({ state: 'live', since: start });
    await add(journal, 'b', entry('opened', 3));
    await until(() => seen.length === 3);

    expect(seen).toEqual(await positions(journal));
    await subscription.stop();
    expect(health).toEqual(['live', 'stopped']);
  });

  it('delivers nothing of other streams, and moves its position past them', async () => {
    const journal = new MemoryJournal();
    await journal.append({
      stream: ledger('x').replace('ledger', 'other') as never,
      events: [entry('opened', 1)],
      expected: 'any',
    });
    const { subscription, seen } = setUp(journal);

    await subscription.start();

    expect({ seen, position: subscription.position }).toEqual({ seen: [], position: await journal.head() });
    await subscription.stop();
  });

  it('is down while the journal cannot be read, tries again with growing pauses, and misses and repeats nothing', async () => {
    const journal = new AilingJournal();
    await add(journal, 'a', entry('opened', 1), entry('added', 2), entry('added', 3));
    journal.failReads = 3;
    journal.breakAfter = 2;
    const { subscription, seen, health, time } = setUp(journal);

    const started = subscription.start();
    for (const attempts of [1, 2, 3]) {
      await until(() => subscription.health.state === 'down' && subscription.health.attempts === attempts);
      await until(() => time.waiting === 1);
      expect(subscription.health).toMatchObject({
        since: start,
        lastError: expect.stringContaining('the disk is away') as string,
      });
      time.advance(400);
    }
    await until(() => subscription.health.state === 'down' && subscription.health.lastError.includes('went away'));
    await until(() => time.waiting === 1);
    time.advance(400);
    await started;

    expect(seen).toEqual(await positions(journal));
    expect(health).toEqual(['down', 'down', 'down', 'catching-up', 'down', 'catching-up', 'live']);
    await subscription.stop();
  });

  it('stops at once while it waits to try again', async () => {
    const journal = new AilingJournal();
    journal.failReads = 1;
    const { subscription, time } = setUp(journal);
    const started = subscription.start();
    await until(() => time.waiting === 1);

    await subscription.stop();

    await started;
    expect({ health: subscription.health.state, waiting: time.waiting }).toEqual({ health: 'stopped', waiting: 0 });
  });

  it('goes on after its checkpoint in the next process', async () => {
    const journal = new AilingJournal();
    const first = await add(journal, 'a', entry('opened', 1));
    const before = setUp(journal, { checkpoint: 'reader' });
    await before.subscription.start();
    await until(() => before.seen.length === 1);
    await before.subscription.stop();
    const second = await add(journal, 'a', entry('added', 2));
    const after = setUp(journal, { checkpoint: 'reader' });

    await after.subscription.start();

    expect({ before: before.seen, after: after.seen }).toEqual({ before: [first], after: [second] });
    await after.subscription.stop();
  });

  it('is down while its checkpoint cannot be written, and live when it could', async () => {
    const journal = new AilingJournal();
    const { subscription, health, time, seen } = setUp(journal, { checkpoint: 'reader' });
    await subscription.start();
    journal.failCheckpoints = 1;

    const position = await add(journal, 'a', entry('opened', 1));
    await until(() => time.waiting === 1);
    time.advance(100);
    await until(() => health.length === 3);

    expect({ health, seen, noted: await journal.readCheckpoint('reader') }).toEqual({
      health: ['live', 'down', 'live'],
      seen: [position],
      noted: position,
    });
    await subscription.stop();
  });

  it('leaves an event that was not handled before the stop to the next process', async () => {
    const journal = new MemoryJournal();
    const position = await add(journal, 'a', entry('opened', 1));
    const { subscription } = setUp(journal, {
      checkpoint: 'reader',
      handle: (_event, stop) => new Promise((resolve) => stop.addEventListener('abort', () => resolve('stopped'))),
    });
    const started = subscription.start();

    await until(() => subscription.health.state === 'catching-up');
    await subscription.stop();
    await started;

    expect({ position: subscription.position, noted: await journal.readCheckpoint('reader') }).toEqual({
      position: undefined,
      noted: undefined,
    });
    expect(position).toBeGreaterThan(0n);
  });

  it('ends with the bug when the handler throws', async () => {
    const journal = new MemoryJournal();
    await add(journal, 'a', entry('opened', 1), entry('added', 1));
    const { subscription } = setUp(journal, {
      handle: () => {
        throw new InvariantViolated('the ledger balances');
      },
    });

    await expect(subscription.start()).rejects.toThrow(new InvariantViolated('the ledger balances'));
    await expect(subscription.ended).rejects.toThrow(InvariantViolated);
  });

  it('ends with a bug when the journal is closed under it', async () => {
    const journal = new MemoryJournal();
    const { subscription } = setUp(journal);
    await subscription.start();

    await journal.close();

    await expect(subscription.ended).rejects.toThrow('a subscription ends only when it is told to');
  });
});
