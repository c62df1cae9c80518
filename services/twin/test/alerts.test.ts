import { decodeAlertEvent, isAlertEvent } from '@tidemark/alerting';
import type { AlertEvent } from '@tidemark/alerting';
import type { Journal } from '@tidemark/journal';
import { deriveEventId, MemoryJournal } from '@tidemark/journal';
import { instant } from '@tidemark/kernel';
import { initialTwin, step } from '@tidemark/reasoning';
import type { Twin } from '@tidemark/reasoning';
import { describe, expect, it } from 'vitest';
import { twinCodec } from '../src/index.ts';
import { append, at, profile, recorded, riser, settled, signal, start, story, twinOver } from './support.ts';

/** The alert events of the riser's finding stream, decoded from the journal. */
async function alertEvents(journal: Journal): Promise<readonly AlertEvent[]> {
  const events = (await recorded(journal, `finding/${riser}`)).filter(({ type }) => isAlertEvent(type));
  return events.map((event) => {
    const decoded = decodeAlertEvent(event);
    if (!decoded.ok) throw new Error(decoded.failure);
    return decoded.value;
  });
}

describe('the alerts of a live twin', () => {
  it('escalate by the clock of the station alone, each level at its own moment', async () => {
    const journal = new MemoryJournal();
    const { twin, time } = twinOver(journal);
    const escalated: number[] = [];
    await twin.start();
    twin.views.changes.subscribe(({ escalations }) => escalated.push(...escalations.map(({ level }) => level)));

    await signal(journal, 'battery active', start);
    await settled(journal);
    for (let minutes = 0; minutes < 45; minutes += 1) {
      time.advance(60_000);
      await settled(journal);
    }

    const levels = (await alertEvents(journal)).filter(({ type }) => type === 'alert-escalated');
    expect(levels.map(({ at: when, type }) => [type, when - start])).toEqual([
      ['alert-escalated', 300_001],
      ['alert-escalated', 600_001],
      ['alert-escalated', 2_100_001],
    ]);
    expect(escalated).toEqual([1, 2, 3]);
    expect(await story(journal, 'riser')).toContain(`time-reached ${at(300_001)}`);
    await twin.stop();
  });

  it('end a shelving by the clock, and are raised anew if their condition stands', async () => {
    const journal = new MemoryJournal();
    const { twin, time } = twinOver(journal);
    await twin.start();
    await signal(journal, 'supply-valve active', start);
    await settled(journal);
    const [{ id } = { id: '' }] = await alertEvents(journal);
    const by = 'm.berg';
    const called = { command: 'call-recorded', to: 'designated-person', outcome: 'reached' } as const;
    const shelve = { command: 'shelve', alert: id, forSeconds: 900, reason: 'Valve being turned' } as const;
    const receivedAt = instant(start + 1_000);
    await append(journal, { type: 'command-given', id: deriveEventId(['c1']), receivedAt, by, command: called });
    await append(journal, { type: 'command-given', id: deriveEventId(['c2']), receivedAt, by, command: shelve });
    await settled(journal);
    const key = { account: 'quayside-cold-store', riser: 'deluge-1' };
    const state = () => twin.views.view(key)?.alerts.find((alert) => alert.id === id)?.state;
    expect(state()).toBe('shelved');

    time.advance(902_000);
    await settled(journal);

    expect(state()).toBe('unacknowledged');
    expect((await alertEvents(journal)).filter(({ type }) => type === 'alert-unshelved')).toMatchObject([
      { at: start + 901_000, why: 'time-over' },
    ]);
    await twin.stop();
  });

  it('come back from a snapshot as they were', () => {
    let twin: Twin = initialTwin(profile(), start);
    for (const [ms, name] of [
      [0, 'battery'],
      [500, 'manual-pull'],
    ] as const)
      twin = step(twin, {
        type: 'signal-received',
        id: name,
        receivedAt: instant(start + ms),
        source: '/quayside-cold-store/panel-2',
        content: { kind: 'contact', name, state: 'active' },
      }).twin;

    const { alerts, next } = twinCodec.decode(twinCodec.encode(twin));

    expect(alerts.book).toEqual(twin.alerts.book);
    expect([alerts.book.size, next]).toEqual([2, twin.next]);
  });
});
