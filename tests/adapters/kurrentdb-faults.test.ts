import { describe, expect, it, onTestFinished } from 'vitest';
import type { Position } from '@tidemark/journal';
import { JournalUnavailable, streamName } from '@tidemark/journal';
import type { KurrentDbJournal, Patience } from '@tidemark/journal-kurrentdb';
import { AnswerOverdue, AppendRefused, ForeignHistory, StreamContended } from '@tidemark/journal-kurrentdb';
import type { DoubleOptions } from '../support/kurrentdb-double/double-cluster.ts';
import { DoubleCluster } from '../support/kurrentdb-double/double-cluster.ts';
import {
  append,
  collect,
  deluge1,
  deluge2,
  follow,
  impatient,
  namesOf,
  openJournal,
  taken,
  upTo,
} from '../support/kurrentdb-material.ts';
import { until } from '../support/until.ts';

interface UnderDrill {
  readonly double: DoubleCluster;
  readonly journal: KurrentDbJournal;
}

/** A protocol double of one node, and the adapter before it. No KurrentDB runs here. */
async function drilled(patience: Partial<Patience> = {}, options: DoubleOptions = {}): Promise<UnderDrill> {
  const double = await DoubleCluster.start(options);
  onTestFinished(() => double.stop());
  return { double, journal: openJournal({ url: double.url, namespace: 'drill', patience }) };
}

/** The server's name of a stream. */
const onServer = (stream: string): string => `drill/${stream}`;

describe('an append before a double that', () => {
  it('cuts the connection after the commit is recorded once, also when many are under way', async () => {
    const { double, journal } = await drilled({ attempts: 40 });
    const results = upTo(300).map(async (number) => {
      if (number % 60 === 30) double.faults.put('cut-after-commit');
      return await journal.append(append(number % 2 === 0 ? deluge1 : deluge2, [number]));
    });

    expect((await Promise.all(results)).map((result) => taken(result).fresh)).toEqual(upTo(300).map(() => [true]));
    await until('every fault was met', () => double.faults.left === 0);
    const recorded = namesOf(await collect(journal.readAll())) as number[];
    expect(recorded.toSorted((one, other) => one - other)).toEqual(upTo(300));
    expect(double.counts.repeats).toBeGreaterThan(0);
    expect(await journal.verify()).toMatchObject({ ok: true, value: { events: 300 } });
  });

  it('commits and never answers is asked again with the same ids and revision', async () => {
    const { double, journal } = await drilled(impatient);
    taken(await journal.append(append(deluge1, ['before'])));

    double.faults.put('hold-answer');
    const result = await journal.append(append(deluge1, ['a']));

    expect(taken(result)).toMatchObject({ revision: 1n, fresh: [true] });
    expect(double.counts).toMatchObject({ appends: 3, repeats: 1 });
    expect(namesOf(await collect(journal.readStream(deluge1)))).toEqual(['before', 'a']);
  });

  it('never answers at all ends after as many tries as it may take', async () => {
    const { double, journal } = await drilled({ ...impatient, answer_ms: 600, attempts: 3 });
    double.faults.put('hold-answer', 3);

    const failing = journal.append(append(deluge1, ['a']));

    await expect(failing).rejects.toMatchObject({ code: 'journal-unavailable', cause: expect.any(AnswerOverdue) });
    expect(double.counts.appends).toBe(3);
    expect(taken(await journal.append(append(deluge1, ['a', 'b'])))).toMatchObject({
      revision: 1n,
      fresh: [false, true],
    });
  });

  it.each(['Timeout', 'Unknown', 'Empty'])('answers %s is asked again', async (refusal) => {
    const { double, journal } = await drilled();
    double.faults.refuseAppends(refusal, 2);

    expect(taken(await journal.append(append(deluge1, ['a'])))).toMatchObject({ fresh: [true] });
    expect(double.counts.appends).toBe(3);
  });

  it.each(['AccessDenied', 'StreamDeleted', 'MaximumAppendSizeExceeded', 'BadRequest'])(
    'answers %s is not asked again, and the caller learns why',
    async (refusal) => {
      const { double, journal } = await drilled();
      double.faults.refuseAppends(refusal);

      const failing = journal.append(append(deluge1, ['a']));

      await expect(failing).rejects.toBeInstanceOf(JournalUnavailable);
      await expect(failing).rejects.toMatchObject({ cause: expect.any(AppendRefused), message: expect.any(String) });
      await expect(failing).rejects.toMatchObject({ cause: { refusal } });
      expect(double.counts.appends).toBe(1);
    },
  );

  it('has a clock an hour ahead is recorded like any other: the request carries no time of ours', async () => {
    const { double, journal } = await drilled({}, { ahead_ms: 3_600_000 });

    taken(await journal.append(append(deluge1, ['a'])));

    const [recorded] = await collect(journal.readStream(deluge1));
    expect(double.counts.appends).toBe(1);
    expect(Number(recorded?.recordedAt)).toBeLessThan(Date.now());
  });

  it('always finds another writer ahead is given up, and nothing is recorded', async () => {
    const { double, journal } = await drilled({ conflicts: 4 });
    double.faults.refuseAppends('WrongExpectedVersion', 4);

    const failing = journal.append(append(deluge1, ['a']));

    await expect(failing).rejects.toMatchObject({ cause: expect.any(StreamContended) });
    expect(double.counts.appends).toBe(4);
    expect(double.log.lastRevision(onServer(deluge1))).toBeUndefined();
  });
});

describe('a read before a double that', () => {
  it('never answers is asked again', async () => {
    const { double, journal } = await drilled(impatient);
    taken(await journal.append(append(deluge1, ['a', 'b'])));

    double.faults.put('hold-read', 2);

    expect(namesOf(await collect(journal.readStream(deluge1)))).toEqual(['a', 'b']);
    expect(double.faults.left).toBe(0);
  });

  it('is gone for good fails after its tries, and again the next time', async () => {
    const { double, journal } = await drilled({ attempts: 3 });
    taken(await journal.append(append(deluge1, ['a'])));
    await double.leader.die();

    await expect(collect(journal.readStream(deluge1))).rejects.toMatchObject({ code: 'journal-unavailable' });
    await expect(journal.head()).rejects.toMatchObject({ code: 'journal-unavailable' });
    await expect(journal.readCheckpoint('twin')).rejects.toBeInstanceOf(JournalUnavailable);

    await double.leader.rise();
    expect(namesOf(await collect(journal.readStream(deluge1)))).toEqual(['a']);
  });

  it('dies amid a long read goes on where it was', async () => {
    const { double, journal } = await drilled({ attempts: 40 });
    for (const start of [0, 500, 1_000])
      taken(
        await journal.append(
          append(
            deluge1,
            upTo(500).map((number) => start + number),
          ),
        ),
      );

    const read: unknown[] = [];
    for await (const { data } of journal.readAll()) {
      read.push(data['name']);
      if (read.length % 400 === 0) double.leader.door.cut();
    }

    expect(read).toEqual(upTo(1_500));
  });

  it('holds an event nobody of ours wrote is refused there, and verification names it', async () => {
    const { double, journal } = await drilled();
    taken(await journal.append(append(deluge1, ['a'])));
    const foreign = { id: '7f0c0000-0000-4000-8000-000000000000', type: 'foreign', data: Buffer.from('{}') };
    double.log.write(onServer(deluge1), 0n, [{ ...foreign, metadata: new Uint8Array() }]);

    await expect(collect(journal.readStream(deluge1))).rejects.toMatchObject({ cause: expect.any(ForeignHistory) });
    expect(await journal.verify()).toMatchObject({ ok: false, failure: { reason: 'changed', revision: 1n } });
    await expect(journal.append(append(deluge1, ['b'], 1n as never))).rejects.toMatchObject({
      cause: expect.any(ForeignHistory),
    });
  });
});

describe('a subscription before a double that', () => {
  it.each(['with-error', 'quietly', 'in-silence'] as const)(
    'drops it %s goes on without a gap, a repeat or another word of being caught up',
    async (how) => {
      const { double, journal } = await drilled({ ...impatient, attempts: 40 });
      for (const number of upTo(30)) taken(await journal.append(append(deluge1, [number])));
      const { names, caughtUp } = follow(journal);

      for (const round of upTo(4)) {
        const end = 30 + round * 20;
        await until(`round ${round}: caught up`, () => names.length === end && caughtUp() === 1);
        double.leader.dropSubscriptions(how);
        for (const number of upTo(20)) taken(await journal.append(append(deluge1, [end + number])));
      }

      await until('everything is delivered', () => names.length >= 110);
      expect(names).toEqual(upTo(110));
      expect(caughtUp()).toBe(1);
      expect(double.counts.subscriptions).toBeGreaterThanOrEqual(5);
      expect(double.counts.delivered).toBe(110);
    },
  );

  it('says it is caught up while it lags behind the leader is not believed', async () => {
    const { double, journal } = await drilled({ attempts: 200 });
    for (const number of upTo(10)) taken(await journal.append(append(deluge1, [number])));

    double.subscriptionsSee_events = 5;
    const { names, caughtUp } = follow(journal);
    await until('it is asked again and again', () => double.counts.subscriptions > 3);
    expect([caughtUp(), names]).toEqual([0, upTo(4)]);

    double.subscriptionsSee_events = undefined;
    double.log.wakeAll();
    await until('it is caught up', () => caughtUp() === 1);
    expect(names).toEqual(upTo(10));
  });

  it('is gone for good ends with the fault, and a new one from the last event misses nothing', async () => {
    const { double, journal } = await drilled({ attempts: 3 });
    for (const number of upTo(10)) taken(await journal.append(append(deluge1, [number])));
    let after: Position | undefined;
    const names: unknown[] = [];
    const following = (async () => {
      for await (const message of journal.subscribe())
        if (message.type === 'event') {
          names.push(message.event.data['name']);
          after = message.event.position;
        }
    })();
    await until('all is delivered', () => names.length === 10);

    await double.leader.die();
    await expect(following).rejects.toBeInstanceOf(JournalUnavailable);
    await double.leader.rise();
    taken(await journal.append(append(deluge1, ['later'])));

    for await (const message of journal.subscribe(after === undefined ? {} : { after })) {
      if (message.type === 'caught-up') break;
      names.push(message.event.data['name']);
    }
    expect(names).toEqual([...upTo(10), 'later']);
  });
});

describe('a checkpoint before a double', () => {
  it('leaves one event to be seen of its stream, and none in the journal', async () => {
    const { double, journal } = await drilled();
    for (const step of upTo(5)) await journal.writeCheckpoint('twin', BigInt(100 + step) as Position);

    expect(double.log.visible('drill-checkpoint/twin')).toHaveLength(1);
    expect(await journal.readCheckpoint('twin')).toBe(104n);
    expect(await journal.head()).toBeUndefined();
    expect(await journal.verify()).toEqual({ ok: true, value: { events: 0, streams: 0 } });
  });

  it('is written once though the answer is lost', async () => {
    const { double, journal } = await drilled();
    await journal.writeCheckpoint('twin', 100n as Position);

    double.faults.put('cut-after-commit');
    await journal.writeCheckpoint('twin', 200n as Position);

    expect(double.counts.repeats).toBe(1);
    expect(await journal.readCheckpoint('twin')).toBe(200n);
  });
});

describe('what is under way at the double', () => {
  it('is never more than the limit, and the rest follows when there is room', async () => {
    const { double, journal } = await drilled({ answer_ms: 20_000 });
    double.faults.put('hold-answer', 128);
    const streams = upTo(200).map((number) => streamName('riser', 'held', `deluge-${number}`));
    const appending = Promise.all(streams.map((stream) => journal.append(append(stream, ['held']))));

    await until('all that may be under way is', () => double.counts.appends >= 128);
    expect(await journal.head()).toBeDefined();
    expect(double.counts.appends).toBe(128);

    double.leader.door.cut();
    (await appending).forEach(taken);
    expect(await journal.verify()).toEqual({ ok: true, value: { events: 200, streams: 200 } });
  });
});
