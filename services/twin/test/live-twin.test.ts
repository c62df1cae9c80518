import { MemoryJournal, MemoryRecords } from '@tidemark/journal';
import { instant } from '@tidemark/kernel';
import { findingPayload, statePayload } from '@tidemark/signals';
import { firstValueFrom } from 'rxjs';
import { describe, expect, it } from 'vitest';
import {
  at,
  KeptMessages,
  MortalJournal,
  profile,
  recorded,
  riser,
  settled,
  signal,
  start,
  story,
  twinOver,
} from './support.ts';

describe('a live twin', () => {
  it('records the profile a riser begins with, once', async () => {
    const records = new MemoryRecords();
    for (let starts = 0; starts < 2; starts += 1) {
      const journal = new MemoryJournal({ records });
      const { twin } = twinOver(journal);
      await twin.start();
      await twin.stop();
    }

    expect(await story(new MemoryJournal({ records }), 'riser')).toEqual([`profile-installed ${at(0)}`]);
  });

  it('records a profile again that was replaced and came back', async () => {
    const journal = new MemoryJournal();
    const one = profile();
    const other = profile('deluge-1', 'limits: { quietSeconds: 60 }');

    for (const installed of [one, other, one, other, other]) {
      const { twin } = twinOver(journal, { profiles: [installed] });
      await twin.start();
      await twin.stop();
    }

    const events = await recorded(journal, `riser/${riser}`);
    expect(events.map(({ type, data }) => [type, (data['profile'] as typeof one).limits.quietSeconds])).toEqual([
      ['profile-installed', 7_200],
      ['profile-installed', 60],
      ['profile-installed', 7_200],
      ['profile-installed', 60],
    ]);
  });

  it('records what is found, and tells it once, at the deadline, though nothing more is heard', async () => {
    const journal = new MemoryJournal();
    const { twin, time } = twinOver(journal);
    const broker = new KeptMessages();
    await twin.start();
    twin.publishTo(broker);

    await signal(journal, 'manual-pull active', start);
    await signal(journal, 'solenoid active', start);
    await settled(journal);
    expect(broker.on('finding')).toEqual([]);
    time.advance(60_000);
    await settled(journal);

    expect((await story(journal, 'finding')).filter((each) => each.startsWith('finding'))).toEqual([
      'finding-raised release-without-flow',
    ]);
    expect(broker.on('finding').map(({ code, status }) => ({ code, status }))).toEqual([
      { code: 'release-without-flow', status: 'raised' },
    ]);
    expect(findingPayload.safeParse(broker.on('finding')[0]).error).toBeUndefined();
    await twin.stop();
  });

  it('lets the time pass that passed while no station ran, at its own moments, before it is open for signals', async () => {
    const journal = new MemoryJournal();
    const first = twinOver(journal);
    await first.twin.start();
    await signal(journal, 'manual-pull active', start);
    await signal(journal, 'solenoid active', start);
    await settled(journal);
    await first.twin.stop();
    const { twin, time } = twinOver(journal);
    time.advance(86_400_000);

    await twin.start();

    const raised = (await recorded(journal, `finding/${riser}`)).filter(({ type }) => type === 'finding-raised');
    const times = raised.map(({ data }) => data['finding'] as { readonly code: string; readonly at: string });
    expect(times[0]).toMatchObject({ code: 'release-without-flow' });
    expect(Date.parse(times[0]!.at) - start).toBeLessThan(60_000);
    expect(times.map((each) => each.at)).toEqual(times.map((each) => each.at).toSorted());
    const reached = (await story(journal, 'riser')).filter((each) => each.startsWith('time-reached'));
    expect(reached).toEqual(reached.toSorted());
    await twin.stop();
  });

  it('says nothing twice, and leaves nothing out, after crashes between the fold and the record', async () => {
    const uninterrupted = await toldThrough({ crashes: false });
    const crashed = await toldThrough({ crashes: true });

    expect(crashed).toEqual(uninterrupted);
    expect(uninterrupted.map(({ type }) => type)).toContain('finding-raised');
    expect(uninterrupted.length).toBeGreaterThan(3);
  });

  it('publishes after a restart what was recorded and not confirmed, and nothing that was', async () => {
    const journal = new MemoryJournal();
    const first = twinOver(journal);
    const before = new KeptMessages();
    await first.twin.start();
    first.twin.publishTo(before);
    await signal(journal, 'waterflow active', start);
    await settled(journal);
    first.time.advance(15_000);
    await settled(journal);
    const told = before.on('finding').length;
    before.failures = 1_000_000;
    await signal(journal, 'solenoid active', start + 15_000);
    await settled(journal);
    await first.twin.stop();
    const after = new KeptMessages();
    const second = twinOver(journal, { clock: first.time });

    await second.twin.start();
    second.twin.publishTo(after);
    await settled(journal);

    const journaled = (await recorded(journal)).filter(({ type }) => type.startsWith('finding-'));
    const positions = [...before.on('finding'), ...after.on('finding')].map(({ position }) => position);
    expect(positions).toEqual(journaled.map(({ position }) => position.toString()));
    expect({ told: told > 0, owed: after.on('finding').length > 0 }).toEqual({ told: true, owed: true });
    await second.twin.stop();
  });

  it('publishes the retained state of every riser at the start, and of a riser whenever it changes', async () => {
    const journal = new MemoryJournal();
    const { twin, time } = twinOver(journal, { profiles: [profile('deluge-1'), profile('deluge-2')] });
    const broker = new KeptMessages();
    await twin.start();

    twin.publishTo(broker);
    await settled(journal);
    time.advance(1_000);
    await signal(journal, 'manual-pull active', start + 1_000);
    await settled(journal);

    expect(
      broker.messages.filter(({ topic }) => topic.endsWith('/state')).map(({ topic, retain }) => ({ topic, retain })),
    ).toEqual([
      { topic: 'risers/v1/quayside-cold-store/deluge-1/state', retain: true },
      { topic: 'risers/v1/quayside-cold-store/deluge-2/state', retain: true },
      { topic: 'risers/v1/quayside-cold-store/deluge-1/state', retain: true },
    ]);
    const states = broker.on('state');
    expect(states.map(({ phase }) => phase)).toEqual(['unknown', 'unknown', 'alarm']);
    for (const state of states) expect(statePayload.safeParse(state).error).toBeUndefined();
    const newest = (await recorded(journal, `riser/${riser}`)).at(-1)!;
    expect(states[2]!['position']).toBe(newest.position.toString());
    await twin.stop();
  });

  it('is not well while the broker takes nothing, and well again when it does', async () => {
    const journal = new MemoryJournal();
    const { twin, time } = twinOver(journal);
    const broker = new KeptMessages();
    await twin.start();
    broker.failures = 1;
    twin.publishTo(broker);
    await settled(journal);

    expect(await firstValueFrom(twin.health)).toEqual({
      ok: false,
      following: { state: 'live', since: start },
      recording: { state: 'up' },
      publishing: {
        state: 'down',
        since: start,
        lastError: 'risers/v1/quayside-cold-store/deluge-1/state could not be published: the broker is away',
      },
      leftOut: 0,
    });
    time.advance(100);
    await settled(journal);

    expect(await firstValueFrom(twin.health)).toMatchObject({ ok: true, publishing: { state: 'up' } });
    await twin.stop();
  });

  it('goes on without a riser that it has no profile of', async () => {
    const journal = new MemoryJournal();
    await signal(journal, 'waterflow active', start, 'quayside-cold-store/deluge-9');
    const { twin } = twinOver(journal);

    await twin.start();

    expect(twin.views.views().map((view) => view.riser)).toEqual(['deluge-1']);
    expect(await firstValueFrom(twin.health)).toMatchObject({ ok: true, leftOut: 1 });
    await twin.stop();
  });
});

const trip = [
  [0, 'manual-pull active'],
  [50, 'solenoid active'],
  [80, 'prime-pressure-low active'],
  [900, 'waterflow active'],
  [9_000, 'supply-valve active'],
  [9_500, 'heat active'],
] as const;

/** What is found in a trip; with crashes, each event is the last that its process sees. */
async function toldThrough({ crashes }: { readonly crashes: boolean }) {
  const records = new MemoryRecords();
  let journal = new MortalJournal({ records });
  let { twin, time } = twinOver(journal);
  await twin.start();
  for (const [offset_ms, said] of trip) {
    time.moveTo(instant(start + offset_ms));
    await signal(journal, said, start + offset_ms);
    if (crashes) {
      journal.isDead = true;
      journal = new MortalJournal({ records });
      ({ twin, time } = twinOver(journal, { clock: time }));
      await twin.start();
    }
    await settled(journal);
  }
  time.advance(1_000_000);
  await settled(journal);
  await twin.stop();
  return (await recorded(journal, `finding/${riser}`)).map(({ id, type, data }) => ({ id, type, data }));
}
