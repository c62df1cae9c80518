import { describe, expect, it } from 'vitest';
import type { EncodedAppend, Position, Revision, StreamName } from '@tidemark/journal';
import { appendLimit_bytes, deriveEventId, JournalUnavailable, streamName } from '@tidemark/journal';
import { AppendQueue, inFlightLimit_bytes, queueLimit_appends, queueLimit_bytes } from '../src/append-queue.ts';
import type { Group, Outcome, Turn } from '../src/stream-writer.ts';

const [a, b, c] = ['a', 'b', 'c'].map((name) => streamName('riser', name)) as [StreamName, StreamName, StreamName];
const done: Outcome = { ok: true, value: { revision: 0n as Revision, position: 1n as Position, fresh: [true] } };

const append = (stream: StreamName, name: string, size_bytes = 300): EncodedAppend => ({
  stream,
  expected: 'any',
  events: [{ id: deriveEventId([name]), type: name, data: '{}', metadata: '{}', recordedAt: undefined }],
  size_bytes,
});

/** A writer that notes what it was given and finishes a group when it is told to. */
class HeldWriter {
  readonly groups: string[] = [];
  readonly turns: Turn[] = [];
  readonly #finish: (() => void)[] = [];

  readonly write = ({ stream, appends }: Group, turn: Turn): Promise<readonly Outcome[]> => {
    this.groups.push(`${stream.slice(-1)}:${appends.map(({ events }) => events[0]?.type).join(',')}`);
    this.turns.push(turn);
    return new Promise((resolve) => this.#finish.push(() => resolve(appends.map(() => done))));
  };

  async finish(group: number): Promise<void> {
    this.#finish[group]?.();
    // What follows from it happens within this turn of the loop.
    await new Promise((resolve) => setImmediate(resolve));
  }
}

function queued(...appends: readonly EncodedAppend[]): {
  readonly queue: AppendQueue;
  readonly writer: HeldWriter;
  readonly results: Promise<unknown>;
} {
  const writer = new HeldWriter();
  const queue = new AppendQueue(writer.write);
  return { queue, writer, results: Promise.all(appends.map((each) => queue.add(each))) };
}

describe('the append queue', () => {
  it('has different streams under way at once, and one group of each', async () => {
    const { writer } = queued(append(a, '1'), append(b, '2'), append(a, '3'), append(c, '4'));

    expect(writer.groups).toEqual(['a:1', 'b:2']);
    await writer.finish(0);
    expect(writer.groups).toEqual(['a:1', 'b:2', 'a:3', 'c:4']);
  });

  it('lets what follows a busy stream wait, so that the order of the calls is that of the log', async () => {
    const { writer } = queued(append(a, '1'), append(a, '2'), append(b, '3'));

    expect(writer.groups).toEqual(['a:1']);
    await writer.finish(0);
    expect(writer.groups).toEqual(['a:1', 'a:2', 'b:3']);
  });

  it('sends the appends of one stream that wait in a row together, up to the limit of one append', async () => {
    const half = appendLimit_bytes / 2;
    const { writer } = queued(
      append(a, '1'),
      append(a, '2', half),
      append(a, '3', half),
      append(a, '4'),
      append(b, '5'),
    );

    await writer.finish(0);
    expect(writer.groups).toEqual(['a:1', 'a:2,3']);
    await writer.finish(1);
    expect(writer.groups).toEqual(['a:1', 'a:2,3', 'a:4', 'b:5']);
  });

  it('has no more bytes under way than its limit, but always one group', async () => {
    const { writer } = queued(append(a, '1', inFlightLimit_bytes + 1), append(b, '2', 1), append(c, '3', 1));

    expect(writer.groups).toEqual(['a:1']);
    await writer.finish(0);
    expect(writer.groups).toEqual(['a:1', 'b:2', 'c:3']);
  });

  it('gives each group its turn when the one before it was sent', async () => {
    const { writer } = queued(append(a, '1'), append(b, '2'));
    let isTurn = false;
    void writer.turns[1]?.before.then(() => (isTurn = true));

    await writer.finish(9);
    expect(isTurn).toBe(false);
    writer.turns[0]?.sent();
    await writer.finish(9);
    expect(isTurn).toBe(true);
  });

  it('refuses aloud what is more than it takes, and keeps what it took', async () => {
    const { queue, writer } = queued(append(a, 'held'));
    const waiting = Array.from({ length: queueLimit_appends }, (_, number) => queue.add(append(a, String(number), 1)));

    await expect(queue.add(append(b, 'one too many'))).rejects.toMatchObject({
      code: 'journal-unavailable',
      cause: { code: 'append-queue-full', message: expect.stringContaining('20000 appends') },
    });
    await writer.finish(0);
    await writer.finish(1);
    expect(await Promise.all(waiting)).toHaveLength(queueLimit_appends);
  });

  it('refuses more bytes than it takes', async () => {
    const { queue } = queued(append(a, 'held'), append(a, 'waiting', queueLimit_bytes));

    await expect(queue.add(append(b, 'one too many', 1))).rejects.toMatchObject({
      cause: { code: 'append-queue-full', message: expect.stringContaining('64000000 bytes') },
    });
  });

  it('tells everyone in a group why it failed, and goes on with the next', async () => {
    const fault = new JournalUnavailable('append', new Error('gone'));
    const queue = new AppendQueue((group) => (group.stream === a ? Promise.reject(fault) : Promise.resolve([done])));

    const results = await Promise.allSettled([
      queue.add(append(a, '1')),
      queue.add(append(a, '2')),
      queue.add(append(b, '3')),
    ]);

    expect(results).toEqual([
      { status: 'rejected', reason: fault },
      { status: 'rejected', reason: fault },
      { status: 'fulfilled', value: done },
    ]);
  });

  it('is drained when nothing waits or is under way', async () => {
    const { queue, writer, results } = queued(append(a, '1'), append(a, '2'));
    let isDrained = false;
    void queue.drained().then(() => (isDrained = true));

    await writer.finish(0);
    expect(isDrained).toBe(false);
    await writer.finish(1);
    expect(isDrained).toBe(true);
    expect(await results).toEqual([done, done]);
    await queue.drained();
  });
});
