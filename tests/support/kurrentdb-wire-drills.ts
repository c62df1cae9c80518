import { describe, expect, it } from 'vitest';
import { chainHash, genesisHash, streamName } from '@tidemark/journal';
import type { Position, RecordedEvent, StreamName } from '@tidemark/journal';
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
  tickingClock,
  upTo,
} from './kurrentdb-material.ts';
import type { WireDoor } from './kurrentdb-double/wire-door.ts';
import { until } from './until.ts';

/** A server, or its double, behind a door of ours. */
export interface ServerBehindDoor {
  /** Leads through the door. */
  readonly url: string;
  readonly door: WireDoor;
  /** Leads past it. */
  readonly directUrl: string;
  /** A namespace that nobody used. */
  readonly namespace: string;
}

/** What the network may do to the adapter, and what another writer may: the same against the double and a server. */
export function describeWireDrills(name: string, open: () => Promise<ServerBehindDoor>): void {
  describe(`the adapter before ${name}`, () => {
    describeLostAnswers(open);
    describeCutConnections(open);
    describeOtherWriters(open);
  });
}

function describeLostAnswers(open: () => Promise<ServerBehindDoor>): void {
  it('records an append once whose answer was lost with the connection', async () => {
    const { url, door, directUrl, namespace } = await open();
    const journal = openJournal({ url, namespace });
    const watcher = openJournal({ url: directUrl, namespace });
    taken(await journal.append(append(deluge1, ['before'])));

    door.swallowAnswers();
    const appending = journal.append(append(deluge1, ['a', 'b']));
    await until('it is recorded', async () => (await collect(watcher.readStream(deluge1))).length === 3);
    door.cut();

    expect(taken(await appending)).toMatchObject({ revision: 2n, fresh: [true, true] });
    expect(namesOf(await collect(watcher.readStream(deluge1)))).toEqual(['before', 'a', 'b']);
    expect(await watcher.verify(deluge1)).toEqual({ ok: true, value: { events: 3, streams: 1 } });
  });

  it('gives up a host that fell silent, and has each append once though the silent host did it later', async () => {
    const { url, door, namespace } = await open();
    const journal = openJournal({ url, namespace, patience: { ...impatient, attempts: 60 } });
    taken(await journal.append(append(deluge1, ['before'])));
    const before = door.admitted;

    door.silence();
    const appending = Promise.all(upTo(30).map((number) => journal.append(append(deluge1, [number]))));
    const late = journal.append(append(deluge2, ['late']));
    await until('it gave the silent connection up for another', () => door.admitted > before);
    door.speak();

    (await appending).forEach(taken);
    taken(await late);
    expect(namesOf(await collect(journal.readStream(deluge1)))).toEqual(['before', ...upTo(30)]);
    expect(await journal.verify()).toEqual({ ok: true, value: { events: 32, streams: 2 } });
  });
}

function describeCutConnections(open: () => Promise<ServerBehindDoor>): void {
  it('loses and doubles nothing when the connection is cut again and again under a storm of appends', async () => {
    const { url, door, namespace } = await open();
    const journal = openJournal({ url, namespace, patience: { attempts: 40 } });
    const streams = upTo(40).map((number) => streamName('riser', 'quayside-cold-store', `storm-${number}`));
    let settled = 0;

    const appending = upTo(1_200).map(async (number) => {
      const result = await journal.append(append(streams[number % streams.length] as StreamName, [number]));
      settled += 1;
      return taken(result).fresh;
    });
    for (const threshold of [100, 350, 600, 850]) {
      await until(`${threshold} appends are answered`, () => settled >= threshold);
      door.cut();
    }

    expect((await Promise.all(appending)).flat()).toEqual(upTo(1_200).map(() => true));
    const recorded = namesOf(await collect(journal.readAll())) as number[];
    expect(recorded.toSorted((one, other) => one - other)).toEqual(upTo(1_200));
    expect(await journal.verify()).toEqual({ ok: true, value: { events: 1_200, streams: 40 } });
  });

  it('delivers each event once and in order to a subscription that is cut again and again', async () => {
    const { url, door, directUrl, namespace } = await open();
    const writer = openJournal({ url: directUrl, namespace });
    for (const number of upTo(200)) taken(await writer.append(append(deluge1, [number])));
    const { names, caughtUp } = follow(openJournal({ url, namespace, patience: { attempts: 40 } }));

    for (const [cut, number] of upTo(6).map((index) => [index, 200 + index * 50] as const)) {
      await until(`cut ${cut}: something was delivered`, () => names.length > cut * 30);
      door.cut();
      for (const more of upTo(50)) taken(await writer.append(append(deluge1, [number + more])));
    }

    await until('everything is delivered', () => names.length >= 500);
    expect(names).toEqual(upTo(500));
    expect(caughtUp()).toBe(1);
  });
}

function describeOtherWriters(open: () => Promise<ServerBehindDoor>): void {
  it('keeps the chain whole when two stations record the same events at different times', async () => {
    const { url, directUrl, namespace } = await open();
    const north = openJournal({ url, namespace, clock: tickingClock(1_772_000_000_000) });
    const south = openJournal({ url: directUrl, namespace, clock: tickingClock(1_773_000_000_000) });

    for (const number of upTo(60)) {
      const results = await Promise.all([north, south].map((station) => station.append(append(deluge1, [number]))));
      expect(results.map((result) => taken(result).fresh[0]).toSorted()).toEqual([false, true]);
      taken(await north.append(append(deluge1, [`north-${number}`])));
      taken(await south.append(append(deluge1, [`south-${number}`])));
    }

    const recorded = await collect(north.readStream(deluge1));
    expect(recorded).toHaveLength(180);
    expect(brokenLinks(recorded)).toEqual([]);
    expect(await south.verify()).toEqual({ ok: true, value: { events: 180, streams: 1 } });
  });

  it('lets one of many writers win each revision, and tells the others where the stream is', async () => {
    const { url, namespace } = await open();
    const writers = upTo(5).map(() => openJournal({ url, namespace }));

    const results = await Promise.all(
      writers.map((writer, index) => writer.append(append(deluge1, [`writer-${index}`], 'no-stream'))),
    );

    expect(results.filter(({ ok }) => ok)).toHaveLength(1);
    for (const result of results)
      if (!result.ok) expect(result.failure).toMatchObject({ type: 'wrong-expected-revision', actual: 0n });
  });

  it('asks the server before it refuses: another writer may have made the revision true', async () => {
    const { url, directUrl, namespace } = await open();
    const [north, south] = [openJournal({ url, namespace }), openJournal({ url: directUrl, namespace })];
    taken(await south.append(append(deluge1, ['known to both'])));
    const { revision } = taken(await north.append(append(deluge1, ['by north', 'by north, too'])));

    expect(taken(await south.append(append(deluge1, ['by south'], revision)))).toMatchObject({ revision: 3n });
    expect(await north.append(append(deluge1, ['late'], revision))).toMatchObject({
      ok: false,
      failure: { type: 'wrong-expected-revision', actual: 3n },
    });
  });

  it('moves a checkpoint on and never back though two processes write it', async () => {
    const { url, directUrl, namespace } = await open();
    const [north, south] = [openJournal({ url, namespace }), openJournal({ url: directUrl, namespace })];

    await Promise.all(
      upTo(20).map((step) =>
        (step % 2 === 0 ? north : south).writeCheckpoint('twin', BigInt(1_000 + step) as Position),
      ),
    );
    await north.writeCheckpoint('twin', 500n as Position);

    expect(await south.readCheckpoint('twin')).toBe(1_019n);
    expect(await north.readCheckpoint('twin')).toBe(1_019n);
    expect(await collect(north.readAll())).toEqual([]);
  });
}

/** Where an event does not follow from the one before it; computed here, not by the adapter. */
function brokenLinks(events: readonly RecordedEvent[]): readonly bigint[] {
  let previous = genesisHash;
  return events.flatMap((event) => {
    const isWhole = event.hash === chainHash(previous, event);
    previous = event.hash;
    return isWhole ? [] : [event.revision];
  });
}
