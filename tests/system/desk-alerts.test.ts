import { randomUUID } from 'node:crypto';
import type { AlertEvent } from '@tidemark/alerting';
import { encodeAlertEvent } from '@tidemark/alerting';
import * as api from '@tidemark/api';
import type { OpenDesk } from '@tidemark/desk';
import { deriveEventId, streamName } from '@tidemark/journal';
import { instant } from '@tidemark/kernel';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { deskOver } from '../browser/fixtures/browser.ts';
import { giveCommand, LiveReader, send } from '../browser/fixtures/desk-client.ts';
import { sessionOf, speakAsEverybody } from '../browser/fixtures/logged-in.ts';
import type { MemoryStation } from '../browser/fixtures/memory-station.ts';
import { at, contact, deluge1, quietStation, timeReached } from '../browser/fixtures/quayside-story.ts';

let station: MemoryStation;
let desk: OpenDesk;

/** A riser whose release was disconnected at 07:13:00.400 by the clock of the station, and nothing else. */
beforeEach(async () => {
  station = await quietStation();
  desk = await deskOver(station);
  await contact(station, deluge1, ['07:13:00', 'release-disconnect', 'active']);
});

afterEach(() => desk.close());

const url = (path: string): string => `${desk.url}${path}`;
const riserUrl = (more = ''): string => url(`/api/risers/${deluge1.account}/${deluge1.riser}${more}`);
const view = async (): Promise<api.RiserView> => api.riserView.parse((await send(riserUrl())).body);
const command = (given: api.RiserCommand) => giveCommand(riserUrl('/commands'), given);
const codeOf = (body: unknown): string => api.problem.parse(body).code;
const until = async (time: string): Promise<void> => {
  station.moveTo(at(time));
  await timeReached(station, deluge1);
};

describe('the alerts of a riser', () => {
  it('say who owes what by when, and where the figure comes from', async () => {
    const { alerts, openAlerts } = await view();

    expect(alerts).toHaveLength(1);
    expect(alerts[0]).toMatchObject({
      class: 'supervisory',
      name: 'release-disconnect',
      label: 'Release disconnect switch',
      state: 'unacknowledged',
      active: true,
      priority: 'high',
      level: 0,
    });
    expect(alerts[0]!.duties.map(({ duty, state, dueAt }) => [duty, state, dueAt])).toEqual([
      ['acknowledge', 'open', '2026-03-02T07:16:00.400Z'],
      ['call-designated-person', 'open', '2026-03-02T07:18:00.400Z'],
      ['attend-on-site', 'open', '2026-03-02T09:13:00.400Z'],
      ['notify-authority', 'waiting', '2026-03-02T15:18:00.400Z'],
    ]);
    expect(alerts[0]!.duties[2]!.source).toEqual({
      text: 'NFPA 72 (2016 layout) 26.3.8.3; unless a scheduled procedure explains it',
      certainty: 'clause-from-memory',
    });
    expect(openAlerts).toMatchObject({ unacknowledged: 1, overdue: 0, level: 0, nextDuty: { duty: 'acknowledge' } });
  });

  it('are answered, called about and seen to, each act with its author', async () => {
    const [{ id } = { id: '' }] = (await view()).alerts;
    station.moveTo(at('07:14:00'));
    await command({ command: 'acknowledge', alert: id });
    await command({ command: 'call-recorded', to: 'designated-person', outcome: 'not-reached' });
    station.moveTo(at('07:15:00'));
    await command({ command: 'call-recorded', to: 'designated-person', outcome: 'reached', person: 'Duty engineer' });
    await command({ command: 'dispatch-recorded', unit: 'runner', stage: 'sent', reference: 'R-17' });
    station.moveTo(at('09:14:00'));
    await speakAsEverybody(station, desk);
    await command({ command: 'dispatch-recorded', unit: 'runner', stage: 'arrived', reference: 'R-17' });
    await command({ command: 'note', text: 'Engineer has the key' });

    const { alerts, actions } = await view();
    const alert = alerts.find((each) => each.name === 'release-disconnect');

    expect(alert).toMatchObject({ state: 'acknowledged', acknowledged: { by: 'm.berg' }, level: 0 });
    expect(alert!.duties.map(({ duty, state, fulfilled }) => [duty, state, fulfilled?.late])).toEqual([
      ['acknowledge', 'fulfilled', false],
      ['call-designated-person', 'fulfilled', false],
      ['attend-on-site', 'fulfilled', true],
      ['notify-authority', 'waiting', undefined],
    ]);
    expect(actions.map(({ by, command: given, inEpisode }) => [by, given.command, inEpisode])).toEqual([
      ['m.berg', 'acknowledge', true],
      ['m.berg', 'call-recorded', true],
      ['m.berg', 'call-recorded', true],
      ['m.berg', 'dispatch-recorded', true],
      ['m.berg', 'dispatch-recorded', true],
      ['m.berg', 'note', true],
    ]);
  });

  it('keep a riser from being called well while one that is over was never seen to', async () => {
    await contact(station, deluge1, ['07:14:00', 'release-disconnect', 'restored']);
    const { phase, headline, urgency } = await view();

    expect([phase, headline, urgency]).toEqual([
      'in-service',
      'Over, and not seen to: Release disconnect switch. Acknowledge it.',
      'soon',
    ]);
  });

  it('escalate on the live stream when nobody acts, once for each level', async () => {
    const live = new LiveReader(desk.url);
    expect((await live.next()).event).toBe('snapshot');

    await until('07:18:01');
    await until('07:22:00');

    const told = [await live.next(), await live.next(), await live.next(), await live.next()];
    expect(told.map(({ event }) => event)).toEqual(['escalated', 'riser', 'escalated', 'riser']);
    expect([told[0]!.data, told[2]!.data]).toMatchObject([
      { at: '2026-03-02T07:16:00.401Z', level: 1, to: 'shift lead', duty: 'acknowledge', priority: 'emergency' },
      { at: '2026-03-02T07:21:00.401Z', level: 2, to: 'service manager', riser: 'deluge-1' },
    ]);
    expect((await view()).openAlerts).toMatchObject({ level: 2, overdue: 2 });
    live.close();
  });
});

describe('shelving', () => {
  const shelve = (forSeconds: number): api.RiserCommand => ({
    command: 'shelve',
    alert: station.view(deluge1)!.alerts[0]!.id,
    forSeconds,
    reason: 'The switch is being mended',
  });

  it('is recorded with its reason and its end, and ended by a person', async () => {
    expect((await command(shelve(1_800))).status).toBe(201);
    const [shelved] = (await view()).alerts;
    expect(shelved).toMatchObject({
      state: 'shelved',
      shelving: { by: 'm.berg', reason: 'The switch is being mended', until: '2026-03-02T07:43:00.400Z' },
    });

    await command({ command: 'unshelve', alert: shelved!.id });
    expect((await view()).alerts[0]).toMatchObject({ state: 'unacknowledged', awaitsAnswer: true });
  });

  it.each<readonly [string, () => api.RiserCommand, api.ProblemCode]>([
    ['for longer than its priority allows', () => shelve(1_801), 'shelved-too-long'],
    [
      'of an alert that is not there',
      () => ({ command: 'shelve', alert: 'nothing', forSeconds: 60, reason: 'x' }),
      'no-such-alert',
    ],
    [
      'of a finding that does not stand',
      () => ({ command: 'shelve', finding: 'chattering', forSeconds: 60, reason: 'x' }),
      'no-such-finding',
    ],
  ])('%s is refused', async (_claim, given, code) => {
    const { status, body } = await command(given());

    expect([status, codeOf(body)]).toEqual([409, code]);
  });

  it('of an alarm is refused', async () => {
    await contact(station, deluge1, ['07:14:00', 'heat', 'active']);
    const alarm = (await view()).alerts.find(({ name }) => name === 'heat')!;

    const { status, body } = await command({ command: 'shelve', alert: alarm.id, forSeconds: 60, reason: 'Noise' });

    expect([status, codeOf(body), alarm.shelvingLimit_s]).toEqual([409, 'may-not-be-shelved', 0]);
  });

  it('must name either a finding or an alert', async () => {
    const both = { ...shelve(60), finding: 'chattering' } as api.RiserCommand;
    const neither = { command: 'shelve', forSeconds: 60, reason: 'x' } as api.RiserCommand;

    for (const given of [both, neither]) expect((await command(given)).status).toBe(400);
  });
});

describe('the deadlines of a riser', () => {
  it('come as a table with a source for each and the caution', async () => {
    const table = api.deadlineTable.parse((await send(riserUrl('/deadlines'))).body);

    expect(table.caution).toMatch(/authority having jurisdiction decide/);
    expect(table.duties.find(({ class: of, duty }) => of === 'alarm' && duty === 'retransmit')).toEqual({
      class: 'alarm',
      duty: 'retransmit',
      title: 'Retransmit it to the fire service',
      opensAfter_s: 0,
      within_s: 90,
      applies: true,
      source: { text: 'NFPA 72 (2016 layout) 26.2.1 and A.26.2.1.2', certainty: 'found' },
    });
    expect(table.shelving_s).toEqual({ emergency: 0, high: 1_800, medium: 7_200, low: 28_800 });
  });
});

describe('a shift', () => {
  const shiftUrl = (more = '') => url(`/api/accounts/${deluge1.account}/hand-overs${more}`);
  const handOver = (body: object, as?: Parameters<typeof send>[1]) =>
    send(shiftUrl(), {
      method: 'POST',
      headers: { 'content-type': 'application/json', [api.intentHeader]: 'test' },
      body: JSON.stringify({
        id: randomUUID(),
        to: 'a.lund',
        note: 'The disconnect of deluge-1 is being mended.',
        ...body,
      }),
      ...as,
    });

  it('is handed over by whoever is logged in, with what is open and overdue', async () => {
    await until('07:19:00');
    const { status } = await handOver({});
    const { items } = api.handOvers.parse((await send(shiftUrl())).body);

    expect(status).toBe(201);
    expect(items).toEqual([
      expect.objectContaining({
        at: '2026-03-02T07:19:00.000Z',
        from: 'm.berg',
        to: 'a.lund',
        open: [
          {
            riser: 'deluge-1',
            alert: (await view()).alerts[0]!.id,
            label: 'Release disconnect switch',
            state: 'unacknowledged',
            overdue: ['Acknowledge it', 'Call a designated person'],
          },
        ],
      }),
    ]);
  });

  it('is recorded once under one id, and pages without gap', async () => {
    const id = randomUUID();
    const fresh = [await handOver({ id }), await handOver({ id }), await handOver({})].map(
      ({ body }) => api.commandReceipt.parse(body).fresh,
    );
    const first = api.handOvers.parse((await send(shiftUrl('?limit=1'))).body);
    const second = api.handOvers.parse((await send(shiftUrl(`?limit=1&cursor=${first.next}`))).body);

    expect(fresh).toEqual([true, false, true]);
    expect([first.items.length, second.items.length, second.next]).toEqual([1, 1, undefined]);
  });

  it.each([
    ['an author of its own', { from: 'somebody' }],
    ['an empty note', { note: ' ' }],
    ['an id that is none', { id: '7' }],
  ])('with %s is refused', async (_claim, body) => {
    expect((await handOver(body)).status).toBe(400);
  });

  it('is not handed over by somebody who only looks after the panels', async () => {
    await station.admit('i.holm', [{ role: 'integrator', accounts: [deluge1.account] }]);

    const { status, body } = await handOver({}, { as: await sessionOf(station, desk, 'i.holm') });

    expect([status, codeOf(body)]).toEqual([403, 'not-allowed']);
  });
});

/** Thirteen troubles, half a minute apart from 06:30 on, each answered 20 s later. */
async function thirteenTroubles(): Promise<void> {
  const events = Array.from({ length: 13 }, (_each, index): readonly AlertEvent[] => {
    const raisedAt = instant(at('06:30:00') + index * 30_000);
    const subject = { key: `${index}`, class: 'trouble', name: 'battery', label: 'Battery', latches: false } as const;
    const id = `battery ${index}`;
    return [
      { id, at: raisedAt, type: 'alert-raised', subject, occasion: 'new', duties: [] },
      { id, at: instant(raisedAt + 20_000), type: 'alert-acknowledged', by: 'm.berg' },
    ];
  }).flat();
  const appended = await station.journal.append({
    stream: streamName('finding', deluge1.account, deluge1.riser),
    events: events.map((event, index) => ({ id: deriveEventId(['figures', `${index}`]), ...encodeAlertEvent(event) })),
    expected: 'any',
  });
  expect(appended.ok).toBe(true);
}

describe('the figures of an account', () => {
  const figuresUrl = (more = '') => url(`/api/accounts/${deluge1.account}/figures${more}`);

  it('tell a flood, its source, how soon it was answered, and who had the shift', async () => {
    await thirteenTroubles();
    station.moveTo(at('06:33:00'));
    const headers = { 'content-type': 'application/json', [api.intentHeader]: 'test' };
    const body = JSON.stringify({ id: randomUUID(), to: 'a.lund', note: 'Batteries.' });
    await send(url(`/api/accounts/${deluge1.account}/hand-overs`), { method: 'POST', headers, body });
    station.moveTo(at('08:00:00'));
    await speakAsEverybody(station, desk);

    const figures = api.accountFigures.parse((await send(figuresUrl())).body);

    expect(figures).toMatchObject({ from: '2026-03-01T08:00:00.000Z', to: '2026-03-02T08:00:00.000Z', complete: true });
    expect(figures.all).toMatchObject({
      alarms: 13,
      perTenMinutes: { peak: 13 },
      floods: [{ from: '2026-03-02T06:30:00.000Z', until: '2026-03-02T06:44:00.000Z', alarms: 13 }],
      topContributors: [{ name: 'battery', alarms: 13, share: 1 }],
      acknowledgement: { answered: 13, unanswered: 0, median_ms: 20_000, p95_ms: 20_000 },
    });
    expect(figures.operators.map(({ operator, figures: { alarms } }) => [operator, alarms])).toEqual([
      ['m.berg', 6],
      ['a.lund', 7],
    ]);
    expect(figures.risers.find(({ riser }) => riser === 'deluge-1')?.figures.alarms).toBe(13);
    expect(figures.targets.length).toBeGreaterThan(5);
  });

  it('name what has been active for more than a day', async () => {
    await command({ command: 'acknowledge', alert: (await view()).alerts[0]!.id });
    station.moveTo(instant(at('07:13:01') + 86_400_000));
    await speakAsEverybody(station, desk);

    const { stale } = api.accountFigures.parse((await send(figuresUrl())).body);

    expect(stale.map(({ riser, label }) => [riser, label])).toEqual([['deluge-1', 'Release disconnect switch']]);
  });
  it('refuse a span that ends before it begins, or is too long', async () => {
    for (const span of [
      'from=2026-03-02T07:00:00.000Z&to=2026-03-02T06:00:00.000Z',
      'from=2026-01-01T00:00:00.000Z&to=2026-03-02T06:00:00.000Z',
    ])
      expect((await send(figuresUrl(`?${span}`))).status).toBe(400);
  });
});
