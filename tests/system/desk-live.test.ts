import { connect } from 'node:net';
import { setImmediate } from 'node:timers/promises';
import { health, lostAfter_ms, tick_ms } from '@tidemark/api';
import type { OpenDesk } from '@tidemark/desk';
import { invariant } from '@tidemark/kernel';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { deskOver } from '../browser/fixtures/browser.ts';
import { LiveReader, send } from '../browser/fixtures/desk-client.ts';
import { headersOf, loginAt } from '../browser/fixtures/logged-in.ts';
import type { MemoryStation } from '../browser/fixtures/memory-station.ts';
import { contact, deluge1, quietStation } from '../browser/fixtures/quayside-story.ts';

let station: MemoryStation;
let desk: OpenDesk;
let readers: LiveReader[];

beforeEach(async () => {
  station = await quietStation();
  desk = await deskOver(station);
  readers = [];
});

afterEach(async () => {
  for (const reader of readers) reader.close();
  await desk.close();
});

function listen(lastEventId?: string): LiveReader {
  const reader = new LiveReader(desk.url, lastEventId === undefined ? {} : { 'last-event-id': lastEventId });
  readers.push(reader);
  return reader;
}

const pull = (): Promise<void> => contact(station, deluge1, ['07:13:00', 'manual-pull', 'active']);
const water = (): Promise<void> => contact(station, deluge1, ['07:13:02', 'waterflow', 'active']);

describe('the stream of changes', () => {
  it('begins with every riser and their position, and then tells what changed', async () => {
    const reader = listen();
    const snapshot = await reader.next();
    await pull();
    const change = await reader.next();

    invariant(snapshot.event === 'snapshot' && change.event === 'riser', 'a snapshot comes first, then a change');
    expect(snapshot.data.risers.map(({ phase }) => phase)).toEqual(Array(5).fill('in-service'));
    expect(change.data.riser).toMatchObject({ riser: 'deluge-1', phase: 'alarm', urgency: 'now' });
    expect([change.id, BigInt(change.id!) > BigInt(snapshot.id!)]).toEqual([station.position()!.toString(), true]);
  });

  it('goes on where a reader left off: each changed riser once, as it is now', async () => {
    const first = await listen().next();
    await pull();
    await water();

    const reader = listen(first.id);
    const [resumed, change] = [await reader.next(), await reader.next()];

    expect(resumed).toMatchObject({ event: 'resumed', data: { changes: 2 } });
    expect(change).toMatchObject({
      event: 'riser',
      id: station.position()!.toString(),
      data: { riser: { phase: 'flowing' } },
    });
  });

  it('tells a reader that missed nothing so', async () => {
    const first = await listen().next();

    expect(await listen(first.id).next()).toMatchObject({ event: 'resumed', data: { changes: 0 } });
  });

  it.each([
    ['1', 'too-old'],
    ['99999999', 'unknown-position'],
    ['rubbish', 'unknown-position'],
  ])('answers the id %s with one resync and a snapshot', async (lastEventId, reason) => {
    const reader = listen(lastEventId);
    const [resync, snapshot] = [await reader.next(), await reader.next()];
    await pull();

    expect(resync).toMatchObject({ event: 'resync', data: { reason } });
    expect([snapshot.event, (await reader.next()).event]).toEqual(['snapshot', 'riser']);
  });

  it('ticks with the clock of the station, often enough to notice a cut within two seconds', async () => {
    station.state = 'catching-up';
    const reader = listen();
    await reader.any();
    const ticks = [await reader.any(), await reader.any()];

    expect(ticks).toEqual(
      Array(2).fill(
        expect.objectContaining({
          event: 'tick',
          data: expect.objectContaining({ at: '2026-03-02T07:12:00.000Z', following: 'catching-up' }),
        }),
      ),
    );
    expect(2 * tick_ms).toBeLessThan(lostAfter_ms);
    expect(lostAfter_ms).toBeLessThan(2_000);
  });

  it('counts its readers, and forgets one that went', async () => {
    const reader = listen();
    await reader.next();
    expect(await liveHealth()).toEqual({ clients: 1, droppedSlow: 0 });

    reader.close();
    await expect.poll(async () => (await liveHealth())?.clients, { timeout: 5_000 }).toBe(0);
  });

  it('cuts off a reader that does not read, counts it, and keeps the others', async () => {
    const { hostname, port } = new URL(desk.url);
    const slow = connect(Number(port), hostname);
    const ended = new Promise<void>((resolve) => slow.once('close', () => resolve()));
    slow.on('error', () => undefined);
    slow.pause();
    const { cookie = '' } = headersOf(loginAt(desk.url), 'GET');
    slow.write(`GET /api/live HTTP/1.1\r\nHost: ${hostname}:${port}\r\nCookie: ${cookie}\r\n\r\n`);
    const quick = listen();
    await quick.next();
    await expect.poll(async () => (await liveHealth())?.clients, { timeout: 5_000 }).toBe(2);

    const position = station.position();
    invariant(position !== undefined, 'the fixture has events');
    let told = 0;
    while ((await liveHealth())?.droppedSlow === 0 && told < 60_000) {
      for (let index = 0; index < 500; index += 1) station.changes.next({ key: deluge1, position, escalations: [] });
      told += 500;
      for (let heard = 0; heard < 500; heard += 1) await quick.next();
      await setImmediate();
    }

    expect(await liveHealth()).toEqual({ clients: 1, droppedSlow: 1 });
    slow.resume();
    await ended;
    await pull();
    expect(await quick.next()).toMatchObject({ event: 'riser', data: { riser: { phase: 'alarm' } } });
  });
});

const liveHealth = async () => health.parse((await send(`${desk.url}/api/health`)).body).live;
