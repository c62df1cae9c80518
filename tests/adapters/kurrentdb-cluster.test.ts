import { describe, expect, it, onTestFinished } from 'vitest';
import { streamName } from '@tidemark/journal';
import type { KurrentDbJournal } from '@tidemark/journal-kurrentdb';
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

/** A protocol double of three nodes, and the adapter before it. No KurrentDB runs here. */
async function clustered(patience = {}): Promise<{
  readonly double: DoubleCluster;
  readonly journal: KurrentDbJournal;
}> {
  const double = await DoubleCluster.start({ nodes: 3 });
  onTestFinished(() => double.stop());
  return {
    double,
    journal: openJournal({ url: double.url, namespace: 'drill', patience: { attempts: 40, ...patience } }),
  };
}

/** Appends numbers one by one until told to stop, and says how many were taken. */
function writing(journal: KurrentDbJournal): { readonly taken: () => number; readonly finish: () => Promise<number> } {
  let [count, isDone] = [0, false];
  const running = (async () => {
    while (!isDone) {
      taken(await journal.append(append(deluge1, [count])));
      count += 1;
    }
  })();
  return {
    taken: () => count,
    finish: async () => {
      isDone = true;
      await running;
      return count;
    },
  };
}

describe('when the node that leads dies, before a double of three nodes,', () => {
  it('appending, reading and following go on with the next, though the dead one never returns', async () => {
    const { double, journal } = await clustered();
    const { names, caughtUp } = follow(journal);
    const writer = writing(journal);
    await until('some appends are taken', () => writer.taken() > 20);

    const dead = double.leader;
    const before = writer.taken();
    await dead.die();
    double.moveLeader();
    await until('more appends are taken', () => writer.taken() > before + 20);
    const total = await writer.finish();

    expect(namesOf(await collect(journal.readAll()))).toEqual(upTo(total));
    expect(namesOf(await collect(journal.readStream(deluge1)))).toEqual(upTo(total));
    await until('all is delivered', () => names.length >= total);
    expect(names).toEqual(upTo(total));
    expect(caughtUp()).toBe(1);
    expect(await journal.verify()).toMatchObject({ ok: true, value: { events: total } });
    expect(dead.isAlive).toBe(false);
  });

  it('reading works again on the connection it began on, time after time', async () => {
    const { double, journal } = await clustered();
    taken(await journal.append(append(deluge1, upTo(5))));

    for (const round of upTo(4)) {
      const dead = double.leader;
      await dead.die();
      double.moveLeader();
      expect(namesOf(await collect(journal.readStream(deluge1)))).toEqual(upTo(5));
      expect(await journal.head(), `round ${round}`).toBe(double.log.events.at(-1)?.position);
      await dead.rise();
    }
  });

  it('an append whose answer died with the node is recorded once', async () => {
    const { double, journal } = await clustered();
    taken(await journal.append(append(deluge1, ['before'])));
    const dead = double.leader;

    double.faults.put('hold-answer');
    const appending = journal.append(append(deluge1, ['a', 'b'], 0n as never));
    await until('it is committed', () => double.log.lastRevision('drill/' + deluge1) === 2n);
    await dead.die();
    double.moveLeader();

    expect(taken(await appending)).toMatchObject({ revision: 2n, fresh: [true, true] });
    expect(double.counts.repeats).toBeGreaterThan(0);
    expect(namesOf(await collect(journal.readStream(deluge1)))).toEqual(['before', 'a', 'b']);
  });

  it('a silent node is given up for one that answers', async () => {
    // Ten tries take eleven seconds: less than it takes the transport's own pings to notice (10 s and 5 s more).
    const { double, journal } = await clustered({ ...impatient, attempts: 10 });
    taken(await journal.append(append(deluge1, ['before'])));
    const { names } = follow(journal);
    await until('the subscription delivers', () => names.length === 1);

    double.leader.door.silence();
    double.leader.isAlive = false;
    double.moveLeader();
    taken(await journal.append(append(deluge1, ['after'])));

    expect(namesOf(await collect(journal.readStream(deluge1)))).toEqual(['before', 'after']);
    await until('the subscription goes on', () => names.length >= 2);
    expect(names).toEqual(['before', 'after']);
  });
});

describe('when the leader moves, before a double of three nodes,', () => {
  it('follows it, wherever it goes, and has everything once and in order', async () => {
    const { double, journal } = await clustered();
    const { names } = follow(journal);
    const writer = writing(journal);

    for (const move of upTo(5)) {
      const before = writer.taken();
      await until(`move ${move}: appends are taken`, () => writer.taken() > before + 15);
      double.moveLeader();
    }
    const total = await writer.finish();

    expect(namesOf(await collect(journal.readStream(deluge1)))).toEqual(upTo(total));
    await until('all is delivered', () => names.length >= total);
    expect(names).toEqual(upTo(total));
    expect(await journal.verify()).toMatchObject({ ok: true, value: { events: total } });
  });

  it('goes where the old leader points, without asking the gossip again', async () => {
    const { double, journal } = await clustered();
    taken(await journal.append(append(deluge1, ['before'])));
    const asked = double.counts.gossip;

    double.moveLeader();
    taken(await journal.append(append(deluge1, ['after'])));

    expect(double.counts.gossip).toBe(asked);
    expect(double.log.lastRevision('drill/' + deluge1)).toBe(1n);
  });

  it('waits while the nodes elect one', async () => {
    const { double, journal } = await clustered();
    taken(await journal.append(append(deluge1, ['before'])));

    double.isElecting = true;
    const refused = double.counts.appends;
    const working = Promise.all([
      journal.append(append(deluge1, ['during'])),
      journal.append(append(deluge2, ['cold'])),
      collect(journal.readStream(deluge1, { limit: 1 })),
    ]);
    await until('it was told to wait more than once', () => double.counts.appends > refused + 2);
    double.moveLeader();
    double.isElecting = false;

    const [during, cold, read] = await working;
    expect([taken(during).revision, taken(cold).revision, namesOf(read)]).toEqual([1n, 0n, ['before']]);
  });
});

describe('when no node answers for so long that the client gives up looking, before a double of three nodes,', () => {
  it('the process lives, and everything goes on once they speak', async () => {
    const { double } = await clustered();
    const url = `${double.url}&maxDiscoverAttempts=1`;
    const journal = openJournal({ url, namespace: 'drill', patience: { ...impatient, attempts: 100 } });
    const { names } = follow(journal);
    taken(await journal.append(append(deluge1, ['before'])));
    await until('the subscription delivers', () => names.length === 1);
    let failures = 0;
    const failed = (): void => void (failures += 1);
    process.on('unhandledRejection', failed);
    onTestFinished(() => void process.off('unhandledRejection', failed));

    const before = double.nodes.reduce((sum, { door }) => sum + door.admitted, 0);
    for (const { door } of double.nodes) door.silence();
    const working = [
      ...upTo(8).map((number) => journal.append(append(streamName('riser', 'silent', `deluge-${number}`), ['during']))),
      ...upTo(8).map(() => collect(journal.readStream(deluge1))),
    ];
    // Each look for a node asks all three.
    const asked = (): number => double.nodes.reduce((sum, { door }) => sum + door.admitted, 0) - before;
    await until('it has looked for a node in vain, several times', () => asked() > 8, 60_000);
    for (const { door } of double.nodes) door.speak();

    expect(await Promise.all(working)).toHaveLength(16);
    taken(await journal.append(append(deluge1, ['after'])));
    await until('all is delivered', () => names.length === 10);
    expect(failures).toBe(0);
  }, 120_000);
});

describe('forty readers at once, before a double of three nodes,', () => {
  it('each read all, and Node warns of nothing', async () => {
    const { journal } = await clustered();
    const warnings: string[] = [];
    const warned = ({ message }: Error): void => void warnings.push(message);
    process.on('warning', warned);
    onTestFinished(() => void process.off('warning', warned));
    taken(await journal.append(append(deluge1, upTo(200))));

    const reads = await Promise.all(upTo(40).map(() => collect(journal.readAll())));

    expect(reads.map((events) => events.length)).toEqual(upTo(40).map(() => 200));
    expect(warnings).toEqual([]);
  });
});
