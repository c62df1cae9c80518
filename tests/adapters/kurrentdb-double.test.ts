import type { AllStreamResolvedEvent } from '@eventstore/db-client';
import {
  BACKWARDS,
  END,
  EventStoreDBClient,
  jsonEvent,
  NO_STREAM,
  START,
  streamNameFilter,
  WrongExpectedVersionError,
} from '@eventstore/db-client';
import { describe, expect, it, onTestFinished } from 'vitest';
import { DoubleCluster } from '../support/kurrentdb-double/double-cluster.ts';
import { collect, upTo } from '../support/kurrentdb-material.ts';

/**
 * Holds the protocol double to what the official client understands through its own calls, which the adapter does not
 * use: so the double and the adapter cannot agree on a protocol of their own. It says nothing about a server.
 */
async function officialClient(nodes = 1): Promise<{ double: DoubleCluster; client: EventStoreDBClient }> {
  const double = await DoubleCluster.start({ nodes });
  onTestFinished(() => double.stop());
  const client = EventStoreDBClient.connectionString(double.url.replace('kurrentdb://', 'esdb://'));
  onTestFinished(() => client.dispose());
  return { double, client };
}

const event = (number: number) =>
  jsonEvent({
    id: `00000000-0000-4000-8000-${String(number).padStart(12, '0')}`,
    type: 'reading-observed',
    data: { number },
    metadata: { schema: 1 },
  });

describe('the protocol double, to the official client,', () => {
  it('appends with an expected revision and says where the stream is when it is elsewhere', async () => {
    const { client } = await officialClient();

    const first = await client.appendToStream('a', [event(1), event(2)], { expectedRevision: NO_STREAM });
    const next = await client.appendToStream('a', event(3), { expectedRevision: 1n });

    expect([first.nextExpectedRevision, next.nextExpectedRevision]).toEqual([1n, 2n]);
    const refused = client.appendToStream('a', event(4), { expectedRevision: 0n });
    await expect(refused).rejects.toBeInstanceOf(WrongExpectedVersionError);
    await expect(refused).rejects.toMatchObject({ streamName: 'a', expectedVersion: 0n, actualVersion: 2n });
  });

  it('takes the same events at the same revision for a repeat, and part of them for a conflict', async () => {
    const { double, client } = await officialClient();
    await client.appendToStream('a', [event(1), event(2)], { expectedRevision: NO_STREAM });
    await client.appendToStream('a', event(3), { expectedRevision: 1n });

    const again = await client.appendToStream('a', [event(1), event(2)], { expectedRevision: NO_STREAM });

    expect(again.nextExpectedRevision).toBe(1n);
    expect(double.log.visible('a')).toHaveLength(3);
    await expect(client.appendToStream('a', [event(2), event(9)], { expectedRevision: 0n })).rejects.toBeInstanceOf(
      WrongExpectedVersionError,
    );
  });

  it('reads a stream and the log in both directions', async () => {
    const { client } = await officialClient();
    await client.appendToStream('a', upTo(5).map(event));

    const forward = await collect(client.readStream('a', { fromRevision: 1n, maxCount: 2 }));
    const backward = await collect(client.readStream('a', { direction: BACKWARDS, fromRevision: END, maxCount: 2 }));
    const all = await collect(client.readAll({ fromPosition: START }));

    expect(forward.map(({ event: read }) => read?.revision)).toEqual([1n, 2n]);
    expect(backward.map(({ event: read }) => read?.data)).toEqual([{ number: 4 }, { number: 3 }]);
    expect(all.map(({ event: read }) => read?.streamId)).toEqual(['$epoch-information', 'a', 'a', 'a', 'a', 'a']);
    expect(all[1]?.event).toMatchObject({ id: event(0).id, type: 'reading-observed', metadata: { schema: 1 } });
    const from = all[3]?.event?.position;
    if (from === undefined) throw new RangeError('an event of the log has a position');
    expect(await collect(client.readAll({ fromPosition: from }))).toHaveLength(3);
    expect(await collect(client.readAll({ fromPosition: from, direction: BACKWARDS }))).toHaveLength(3);
  });

  it('says that a stream does not exist', async () => {
    const { client } = await officialClient();

    await expect(collect(client.readStream('nothing'))).rejects.toMatchObject({ type: 'stream-not-found' });
  });

  it('carries a filtered subscription from history to live, with checkpoints', async () => {
    const { client } = await officialClient();
    await client.appendToStream('wanted-1', upTo(40).map(event));
    await client.appendToStream('other', upTo(40).map(event));
    let checkpoints = 0;
    const filter = streamNameFilter({
      prefixes: ['wanted'],
      checkpointInterval: 1,
      checkpointReached: () => void (checkpoints += 1),
    });
    const subscription = client.subscribeToAll({ fromPosition: START, filter });
    onTestFinished(() => subscription.unsubscribe());
    const caughtUp = new Promise((resolve) => void subscription.once('caughtUp', resolve));
    const seen: unknown[] = [];
    const whole = new Promise((resolve) => {
      subscription.on('data', ({ event: read }: AllStreamResolvedEvent) => {
        if (seen.push((read?.data as { readonly number: number }).number) === 41) resolve(undefined);
      });
    });

    await caughtUp;
    await client.appendToStream('wanted-2', event(99));
    await whole;

    expect(seen).toEqual([...upTo(40), 99]);
    expect(checkpoints).toBeGreaterThan(1);
  });

  it('points to the node that leads, and tells the cluster', async () => {
    const { double, client } = await officialClient(3);
    await client.appendToStream('a', event(1), { requiresLeader: true });
    double.moveLeader();

    await expect(client.appendToStream('a', event(2), { requiresLeader: true })).rejects.toMatchObject({
      type: 'not-leader',
      leader: { address: '127.0.0.1', port: double.leader.door.port },
    });
    await client.appendToStream('a', event(2), { requiresLeader: true });

    expect(double.log.visible('a')).toHaveLength(2);
    expect(double.counts.gossip).toBeGreaterThan(0);
  });

  it('refuses an append whose deadline lies in the past of its clock, as the client sends it', async () => {
    const double = await DoubleCluster.start({ ahead_ms: 3_600_000 });
    onTestFinished(() => double.stop());
    const client = EventStoreDBClient.connectionString(double.url.replace('kurrentdb://', 'esdb://'));
    onTestFinished(() => client.dispose());

    await expect(client.appendToStream('a', event(1))).rejects.toMatchObject({ type: 'deadline-exceeded' });
  });
});
