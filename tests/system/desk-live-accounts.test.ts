import { setImmediate } from 'node:timers/promises';
import type { Grant } from '@tidemark/api';
import type { OpenDesk } from '@tidemark/desk';
import { invariant } from '@tidemark/kernel';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { deskOver } from '../browser/fixtures/browser.ts';
import type { Heard } from '../browser/fixtures/desk-client.ts';
import { LiveReader, send } from '../browser/fixtures/desk-client.ts';
import type { Login } from '../browser/fixtures/logged-in.ts';
import { sessionOf } from '../browser/fixtures/logged-in.ts';
import type { MemoryStation } from '../browser/fixtures/memory-station.ts';
import { contact, deluge1 } from '../browser/fixtures/quayside-story.ts';
import { foreign, here, there, twoAccounts } from '../browser/fixtures/two-accounts.ts';

let station: MemoryStation;
let desk: OpenDesk;
let operator: Login;
const readers: LiveReader[] = [];

beforeEach(async () => {
  station = await twoAccounts();
  desk = await deskOver(station);
  operator = await sessionOf(station, desk, 'operator-here');
});

afterEach(async () => {
  for (const reader of readers.splice(0)) reader.close();
  await desk.close();
});

function listen(as: Login, lastEventId?: string): LiveReader {
  const reader = new LiveReader(desk.url, lastEventId === undefined ? {} : { 'last-event-id': lastEventId }, as);
  readers.push(reader);
  return reader;
}

const thereHappens = (time: string): Promise<void> => contact(station, foreign, [time, 'heat', 'active']);
const hereHappens = (time: string): Promise<void> => contact(station, deluge1, [time, 'heat', 'active']);

const accountsIn = (heard: Heard): readonly string[] => {
  invariant(heard.event === 'snapshot', 'a stream begins with a snapshot');
  return [...new Set(heard.data.risers.map(({ account }) => account))];
};

const change = async (name: string, wish: { grants?: Grant[]; disabled?: boolean }) =>
  (await station.access()).people.change({ name: 'm.berg', accounts: 'all' }, name, wish);

describe('the live stream of somebody bound to accounts', () => {
  it('begins with the risers of those accounts, and tells nothing of what happens elsewhere, not even that it does', async () => {
    const reader = listen(operator);
    const [snapshot, before] = [await reader.any(), await reader.any()];
    await thereHappens('07:18:00');
    await thereHappens('07:18:01');
    const after = await reader.any();
    await hereHappens('07:18:02');
    const own = await reader.next();

    expect(accountsIn(snapshot)).toEqual([here]);
    invariant(before.event === 'tick' && after.event === 'tick', 'nothing but the clock was told meanwhile');
    expect(after.data.position).toBe(before.data.position);
    expect(own).toMatchObject({ event: 'riser', data: { riser: { account: here, riser: 'deluge-1' } } });
  });

  it('tells the same of the journal’s length whatever is recorded elsewhere', async () => {
    const positions = async () => {
      const { body } = await send(`${desk.url}/api/risers`, { as: operator });
      return (body as { position: string }).position;
    };
    const before = await positions();
    await thereHappens('07:18:00');

    expect(await positions()).toBe(before);
    // A position as the journal counts it is no position of this person's: neither a past one nor one to come.
    for (const asOf of ['3', station.position()!.toString(), '99999999']) {
      const { body } = await send(`${desk.url}/api/risers/${here}/deluge-1?asOf=${asOf}`, { as: operator });
      expect([asOf, body]).toEqual([asOf, expect.objectContaining({ code: 'moment-not-reached' })]);
    }
  });

  it('opens the moment of an event that this person was told, by its sealed position', async () => {
    const events = (await send(`${desk.url}/api/risers/${here}/deluge-1/events`, { as: operator })).body as {
      items: { position: string; signal?: string }[];
    };
    const water = events.items.find(({ signal }) => signal === 'waterflow')!;
    const { status, body } = await send(`${desk.url}/api/risers/${here}/deluge-1?asOf=${water.position}`, {
      as: operator,
    });

    expect([status, body]).toEqual([200, expect.objectContaining({ phase: 'flowing', position: water.position })]);
    expect(events.items.every(({ position }) => position.length > 20)).toBe(true);
  });

  it('goes on where it left off, counting only what happened at those accounts', async () => {
    const first = await listen(operator).next();
    await thereHappens('07:18:00');
    await hereHappens('07:18:01');

    const reader = listen(operator, first.id);

    expect(await reader.next()).toMatchObject({ event: 'resumed', data: { changes: 1 } });
    expect(await reader.next()).toMatchObject({ event: 'riser', data: { riser: { account: here } } });
  });

  it('begins anew where the last id was told to somebody who sees other accounts', async () => {
    const first = await listen(operator).next();
    const all = await sessionOf(station, desk, 'operator-all');
    const plain = (await listen(all).next()).id;

    for (const [who, id] of [
      [all, first.id],
      [operator, plain],
      [await sessionOf(station, desk, 'operator-there'), first.id],
    ] as const)
      expect(await listen(who, id).next()).toMatchObject({ event: 'resync', data: { reason: 'unknown-position' } });
  });

  it('is told everything anew when the roles change, and ends when there is none any more', async () => {
    const reader = listen(operator);
    expect(accountsIn(await reader.next())).toEqual([here]);

    await change('operator-here', { grants: [{ role: 'operator', accounts: [there] }] });
    expect(accountsIn(await reader.next())).toEqual([there]);

    await change('operator-here', { grants: [] });
    await expect(reader.next()).rejects.toThrow('the stream ended');
  });

  it.each(['shut-out', 'logged-out'])('ends for somebody who is %s, before anything more is told', async (how) => {
    const reader = listen(operator);
    await reader.next();

    if (how === 'shut-out') await change('operator-here', { disabled: true });
    else {
      const headers = { 'content-type': 'application/json', 'x-tidemark-intent': 'test' };
      await send(`${desk.url}/api/session/end`, { method: 'POST', as: operator, headers, body: '{}' });
    }
    await hereHappens('07:18:00');
    await setImmediate();

    await expect(reader.next()).rejects.toThrow('the stream ended');
  });

  it('is refused to a person with forty open already, and to nobody else', async () => {
    for (let count = 0; count < 40; count += 1) await listen(operator).any();

    await expect(listen(operator).any()).rejects.toThrow(/503.*too-many-listeners/);
    expect((await listen(await sessionOf(station, desk, 'integrator-here')).any()).event).toBe('snapshot');
  });
});
