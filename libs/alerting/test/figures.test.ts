import { fc, test } from '@fast-check/vitest';
import type { RecordedAlertEvent } from '@tidemark/alerting';
import {
  decodeAlertEvent,
  encodeAlertEvent,
  figuresOf,
  floodsOf,
  operatorAt,
  percentile,
  isStale,
} from '@tidemark/alerting';
import type { AlertClass } from '@tidemark/words';
import { alertClasses } from '@tidemark/words';
import { describe, expect, it } from 'vitest';
import type { Asked } from './book.ts';
import { acknowledge, at, off, on, shelve, story, subject } from './book.ts';

const riser = 'quayside-cold-store/deluge-1';
const historyOf = (asked: readonly Asked[], until = 0): readonly RecordedAlertEvent[] =>
  story(asked, until).events.map((event) => ({ riser, event }));

/** Alarms of one class, each once, at so many seconds. */
const alarmsAt = (seconds: readonly number[], of: AlertClass = 'trouble', name = 'battery'): readonly Asked[] =>
  seconds.map((when, index) => on(when, subject(of, { key: `${name}-${index}`, name, label: `${name} ${index}` })));

const day = { from: at(0), to: at(86_400) };
const every = (count: number, pause_s: number, from = 0) =>
  Array.from({ length: count }, (_each, index) => from + index * pause_s);

describe('a flood (ISA-18.2; FACTS 6.23, from memory)', () => {
  it.each([
    [10, 0],
    [11, 1],
  ])('of %i alarms within ten minutes is counted as %i', (count, floods) => {
    expect(floodsOf(every(count, 59).map(at), at(3_600))).toHaveLength(floods);
  });

  it('begins with the first of its alarms and is over when fewer than five came in ten minutes', () => {
    const times = [...every(11, 30), ...every(4, 60, 1_000)].map(at);

    expect(floodsOf(times, at(7_200))).toEqual([{ from: at(0), until: at(180 + 600), alarms: 11 }]);
  });

  it('lasts while five alarms in ten minutes go on', () => {
    const [first, ...more] = floodsOf([...every(11, 30), ...every(20, 100, 400)].map(at), at(2_400));

    expect([first?.until, first?.alarms, more]).toEqual([undefined, 31, []]);
  });

  it('of 15 minutes is more than a hundredth of a day (FACTS 6.24)', () => {
    const { floodShare, floods } = figuresOf(historyOf(alarmsAt(every(15, 30))), day);

    expect(floods).toEqual([{ from: at(0), until: at(900), alarms: 15 }]);
    expect(floodShare).toBeCloseTo(0.0104, 4);
  });

  test.prop([fc.array(fc.nat(7_200), { maxLength: 60 })], { seed: 20_261_125 })(
    'is there exactly when some ten minutes hold more than ten alarms',
    (seconds) => {
      const times = seconds.toSorted((one, other) => one - other).map(at);
      const most = Math.max(
        0,
        ...times.map((end) => times.filter((each) => each > end - 600_000 && each <= end).length),
      );

      expect(floodsOf(times, at(10_000)).length > 0).toBe(most > 10);
    },
  );
});

describe('the figures of a day', () => {
  it('count alarms by day, by ten minutes and at the peak (144 a day is one in ten minutes, FACTS 6.20, 6.21)', () => {
    const { alarms, perDay, perTenMinutes } = figuresOf(historyOf(alarmsAt(every(144, 600))), day);

    expect({ alarms, perDay, perTenMinutes }).toEqual({
      alarms: 144,
      perDay: 144,
      perTenMinutes: { average: 1, peak: 1 },
    });
  });

  it('tell the mix of priorities (FACTS 6.28: about 80, 15 and 5 in a hundred)', () => {
    const of = (alertClass: AlertClass, count: number, from: number) =>
      alarmsAt(every(count, 1, from), alertClass, alertClass);
    const mixed = [
      ...of('trouble', 40, 0),
      ...of('advisory', 40, 100),
      ...of('supervisory', 15, 200),
      ...of('alarm', 5, 300),
    ];

    expect(figuresOf(historyOf(mixed), day).priorityMix).toEqual({
      emergency: 0.05,
      high: 0.15,
      medium: 0.4,
      low: 0.4,
    });
  });

  it.each([
    [[0, 30, 60], 1],
    [[0, 30, 61], 0],
  ])('call %j s chattering: %i (FACTS 6.25)', (seconds, count) => {
    const one = subject('trouble');
    const asked = seconds.flatMap((when) => [on(when, one), off(when + 10, one.key)]);

    expect(figuresOf(historyOf(asked), day).chattering).toHaveLength(count);
  });

  it('name the busiest sources with their share', () => {
    const battery = subject('trouble', { key: 'battery', name: 'battery', label: 'Battery' });
    const again = [0, 200, 400].flatMap((when) => [on(when, battery), off(when + 10, 'battery')]);

    expect(figuresOf(historyOf([...again, on(500, subject('alarm'))]), day).topContributors).toEqual([
      { riser, name: 'battery', label: 'Battery', alarms: 3, share: 0.75 },
      { riser, name: 'alarm-name', label: 'alarm', alarms: 1, share: 0.25 },
    ]);
  });

  it('count neither what is set aside nor what comes again on the shelf', () => {
    const one = subject('trouble');
    const shelved = [on(0, one), shelve(5, 3_600), off(10, one.key), on(20, one)];
    const aside = on(0, subject('supervisory'), { aside: { as: 'out-of-service', why: 'planned work' } });

    expect(figuresOf(historyOf([aside, ...shelved]), day).alarms).toBe(1);
  });

  it('tell how soon people answered, and what nobody answered', () => {
    const answered = figuresOf(
      historyOf([...alarmsAt([0, 10]), acknowledge(30), ...alarmsAt([100], 'alarm', 'heat')]),
      day,
    );

    expect(answered.acknowledgement).toEqual({ answered: 2, unanswered: 1, median_ms: 20_000, p95_ms: 30_000 });
  });

  it('tell what was done in time and what late', () => {
    const { duties } = figuresOf(historyOf([on(0, subject('alarm')), acknowledge(200)], 200), day);

    expect(duties).toEqual({ inTime: 0, late: 1, lapsed: 0, escalations: 1 });
  });

  it('can be those of one operator, by the hand-overs', () => {
    const handOvers = [{ at: at(100), from: 'M. Berg', to: 'A. Lund' }];
    const of = (name: string) =>
      figuresOf(historyOf(alarmsAt([0, 99, 100])), day, ({ at: when }) => operatorAt(handOvers, when) === name).alarms;

    expect([of('M. Berg'), of('A. Lund')]).toEqual([2, 1]);
  });
});

describe('an alert (FACTS 6.27: stale when active for more than 24 h, choice at the boundary)', () => {
  it.each([
    [24 * 3_600, false],
    [24 * 3_600 + 60, true],
  ])('active for %i s is stale: %s', (seconds, stale) => {
    expect(isStale(at(0), at(seconds))).toBe(stale);
  });
});

describe('a percentile by nearest rank', () => {
  it.each([
    [[15, 20, 35, 40, 50], 0.3, 20],
    [[15, 20, 35, 40, 50], 0.4, 20],
    [[15, 20, 35, 40, 50], 0.5, 35],
    [[15, 20, 35, 40, 50], 1, 50],
    [[], 0.5, undefined],
  ])('of %j at %d is %s', (values, share, expected) => {
    expect(percentile(values, share)).toBe(expected);
  });
});

describe('an alert event', () => {
  const all = story(
    [
      ...alertClasses.map((each) => on(0, subject(each, { latches: each === 'alarm' }))),
      shelve(5, 600),
      off(10, 'alarm'),
      [15, { type: 'latch-released', key: 'alarm' }],
      [20, { type: 'set-aside', key: 'high', aside: { as: 'suppressed', why: 'explained' } }],
      [25, { type: 'take-back', key: 'high' }],
      [30, { type: 'condition-changed', key: 'advisory', class: 'critical' }],
      [35, { type: 'unshelve', choice: {}, by: 'M. Berg' }],
      acknowledge(40),
      off(45, 'trouble'),
      [
        90,
        {
          type: 'put-on-record',
          deed: { kind: 'dispatch', unit: 'fire-service', stage: 'sent' },
          choice: {},
          by: 'M.',
        },
      ],
      [
        900,
        { type: 'put-on-record', deed: { kind: 'call', to: 'designated-person', reached: true }, choice: {}, by: 'M.' },
      ],
      off(910, 'high'),
    ],
    90_000,
  ).events;

  it('of every type comes back from the journal as it went in', () => {
    expect(new Set(all.map(({ type }) => type)).size).toBe(15);
    for (const event of all) {
      const stored = encodeAlertEvent(event);
      const { type, data } = JSON.parse(JSON.stringify(stored)) as typeof stored;
      expect(decodeAlertEvent({ type, data })).toEqual({ ok: true, value: event });
    }
  });

  it('that this build does not know is refused with the reason', () => {
    expect(decodeAlertEvent({ type: 'alert-painted', data: {} })).toMatchObject({ ok: false });
    expect(decodeAlertEvent({ type: 'alert-returned', data: { id: 'x', at: 'yesterday' } })).toEqual({
      ok: false,
      failure: 'alert-returned: at: expected an RFC 3339 time',
    });
  });
});
