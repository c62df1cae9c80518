import { fc, test } from '@fast-check/vitest';
import { describe, expect, it } from 'vitest';
import type { RiserEvent } from '@tidemark/riser';
import { viewOf } from '@tidemark/reasoning';
import {
  active,
  at,
  command,
  periodicTest,
  profileWith,
  profileWithout,
  reset,
  restored,
  signal,
  tellStory,
  trip,
  tripAndRestoration,
} from './story.ts';

const profile = profileWith();

describe('a normal trip and restoration', () => {
  it('raises nothing and goes through its phases back to service', () => {
    const told = tellStory(profile, tripAndRestoration, 3_000);

    expect(told.raised).toEqual([]);
    expect(told.phases).toEqual([
      'in-service',
      'alarm',
      'released',
      'flowing',
      'shutting-down',
      'drained',
      'resetting',
      'priming',
      'reopening',
      'in-service',
    ]);
  });

  it('proves every step that can be seen, and says which cannot', () => {
    const { twin } = tellStory(profile, tripAndRestoration.slice(0, -1), 1_950);

    const list = viewOf(twin, at(1_950)).restoration.map(({ step, status }) => `${step} ${status}`);

    expect(list).toEqual([
      'supply-valve-shut proven',
      'water-stopped proven',
      'low-points-drained cannot-be-seen',
      'initiating-device-restored proven',
      'panel-reset proven',
      'solenoid-at-rest proven',
      'prime-pressure-back proven',
      'drains-closed cannot-be-seen',
      'supply-valve-open proven',
      'supervisory-cleared proven',
      'supply-proven cannot-be-seen',
      'final-reset waiting',
      'no-signal-remains proven',
      'alarm-line-proven cannot-be-seen',
    ]);
  });

  it('says that the supply valve is shut only once the water has stopped', () => {
    const statuses = (count: number): readonly string[] =>
      viewOf(tellStory(profile, tripAndRestoration.slice(0, count)).twin, at(1_100))
        .restoration.filter(({ step }) => step === 'supply-valve-shut')
        .map(({ status, expects }) => `${status} ${expects ?? ''}`);

    expect([6, 7, 8].map(statuses)).toEqual([['waiting supply-valve'], ['waiting waterflow'], ['proven ']]);
  });

  it('is the same state in whatever slices the clock is asked', () => {
    const asked = tripAndRestoration.flatMap((event): readonly RiserEvent[] => [
      { type: 'time-reached', id: `t${event.receivedAt}`, receivedAt: event.receivedAt },
      event,
    ]);

    expect(tellStory(profile, asked, 3_000).outputs).toEqual(tellStory(profile, tripAndRestoration, 3_000).outputs);
  });

  test.prop([fc.array(fc.nat(8_000), { minLength: tripAndRestoration.length, maxLength: tripAndRestoration.length })], {
    numRuns: 60,
    seed: 20_260_302,
  })('ends in the same points and phase however its signals are delayed within the latency', (delays) => {
    const delayed = tripAndRestoration
      .map((event, index): RiserEvent => ({
        ...event,
        receivedAt: at((event.receivedAt - at(0)) / 1_000 + (delays[index] ?? 0) / 1_000),
      }))
      .sort((one, other) => one.receivedAt - other.receivedAt);

    const [there, here] = [tellStory(profile, tripAndRestoration, 3_000), tellStory(profile, delayed, 3_000)];

    expect(here.twin.phase).toBe(there.twin.phase);
    expect(here.standing).toEqual([]);
    const states = (told: typeof here): readonly string[] =>
      viewOf(told.twin, at(3_000)).points.map(({ signal: name, state, since }) => `${name} ${state} ${since ?? ''}`);
    expect(states(here)).toEqual(states(there));
  });
});

describe('waterflow with the supply valve closed', () => {
  it('is critical at once when it begins so', () => {
    const told = tellStory(profile, [active(0, 'supply-valve'), active(30, 'waterflow')]);

    expect(told.findings.map(({ code, severity, at: when }) => [code, severity, when])).toEqual([
      ['flow-with-supply-closed', 'critical', at(30)],
    ]);
    expect(told.findings[0]?.evidence.map(({ what }) => what)).toEqual(['supply-valve', 'waterflow']);
    expect(told.findings[0]?.explanation).toContain('not fully open');
  });

  it('is overdue 40 s + 600 s + 66.8 s + 1 s scan + 10 s latency after a closing that it should have ended by', () => {
    const told = tellStory(profile, [...trip(0), active(300, 'supply-valve')], 2_000);

    const finding = told.findings.find(({ code }) => code === 'flow-with-supply-closed');
    expect(finding?.raisedAt).toBe(at(300 + 40 + 600 + 66.8 + 1 + 10));
  });

  it('is no finding in an announced test that is fed from upstream, and is one when fed from downstream', () => {
    const story = [
      active(0, 'supply-valve'),
      command(10, { command: 'test-begin', forSeconds: 600, expect: ['waterflow'] }),
      active(60, 'waterflow'),
      restored(90, 'waterflow'),
    ];

    expect(tellStory(profile, story, 100).raised).toEqual([]);
    expect(tellStory(profileWith('trim: { alarmTestSource: downstream }'), story, 100).raised).toEqual([
      'flow-with-supply-closed',
    ]);
  });

  it('clears as a second trip when the valve restores while it is reopened, and water without release is told', () => {
    const story = [...tripAndRestoration.slice(0, 13), active(1_880, 'waterflow'), restored(1_900, 'supply-valve')];

    const told = tellStory(profile, story, 2_000);

    expect(told.raised).toEqual(['flow-with-supply-closed', 'flow-without-release']);
    expect(told.findings.find(({ status }) => status === 'cleared')?.explanation).toContain('tripped a second time');
  });
});

describe('a reset', () => {
  it('before the initiating device restored is told at once, and clears with a good one', () => {
    const told = tellStory(profile, [
      ...trip(0),
      reset(60),
      restored(90, 'waterflow'),
      restored(100, 'manual-pull'),
      reset(120),
    ]);

    expect(
      told.findings
        .filter(({ code, status }) => code === 'reset-before-clear' && status !== 'updated')
        .map(({ status, at: when }) => [status, when]),
    ).toEqual([
      ['raised', at(60)],
      ['cleared', at(120)],
    ]);
  });

  it('that a restoral only seems to follow is taken back when the restoral comes within the latency', () => {
    const told = tellStory(profile, [
      active(0, 'manual-pull'),
      reset(60.2, { observed: 60 }),
      restored(63, 'manual-pull', { observed: 58 }),
    ]);

    expect(told.findings.filter(({ code }) => code === 'reset-before-clear').map(({ status }) => status)).toEqual([
      'raised',
      'cleared',
    ]);
    expect(told.raised).not.toContain('out-of-order');
  });

  it('on a latching panel is early only when a point is announced active again', () => {
    const latching = profileWith('panel: { restorals: reset }');
    const clean = [
      ...trip(0),
      active(100, 'supply-valve'),
      reset(400),
      restored(400.1, 'manual-pull'),
      restored(400.1, 'waterflow'),
    ];

    expect(tellStory(latching, clean, 420).raised).toEqual([]);
    expect(
      tellStory(latching, [...trip(0), active(100, 'supply-valve'), reset(400), active(402, 'manual-pull')], 403)
        .raised,
    ).toEqual(['reset-before-clear']);
  });

  it('that is followed by the same device within 20 s is a re-alarm; a new device is none', () => {
    const before = [
      active(0, 'manual-pull'),
      active(0.1, 'solenoid'),
      active(0.2, 'prime-pressure-low'),
      active(0.6, 'waterflow'),
      active(60, 'supply-valve'),
      restored(90, 'waterflow'),
      restored(100, 'manual-pull'),
      reset(120),
    ];

    expect(
      tellStory(
        profile,
        [...before, restored(120.1, 'solenoid'), restored(120.3, 'prime-pressure-low'), active(125, 'manual-pull')],
        136,
      ).raised,
    ).toContain('re-alarm-after-reset');
    expect(
      tellStory(
        profile,
        [...before, restored(120.1, 'solenoid'), restored(120.3, 'prime-pressure-low'), active(125, 'heat')],
        136,
      ).raised,
    ).not.toContain('re-alarm-after-reset');
  });
});

describe('a release', () => {
  it('without flow is critical after window, scan and latency, and flow that comes before that is only late', () => {
    const released = [active(0, 'manual-pull'), active(0.05, 'solenoid'), active(0.06, 'prime-pressure-low')];

    expect(tellStory(profile, released, 12.7).raised).toEqual([]);
    expect(tellStory(profile, released, 12.8).findings.map(({ code, raisedAt }) => [code, raisedAt])).toEqual([
      ['release-without-flow', at(0.05 + 1.68 + 1 + 10)],
    ]);
    expect(tellStory(profile, [...released, active(8, 'waterflow')], 60).raised).toEqual(['late-signal']);
  });

  it('while isolated is told at once, and no missing flow is held against it', () => {
    const told = tellStory(profile, [active(0, 'supply-valve'), active(10, 'heat'), active(10.1, 'solenoid')], 60);

    expect(told.raised).toEqual(['release-while-isolated']);
  });

  it('that no point reports is never held against the riser, and an alarm stands for it', () => {
    const blind = profileWithout('solenoid');

    expect(
      tellStory(blind, [active(0, 'manual-pull'), active(0.1, 'prime-pressure-low'), active(0.6, 'waterflow')], 60)
        .raised,
    ).toEqual([]);
    expect(tellStory(blind, [active(0, 'manual-pull')], 60).raised).toEqual(['release-without-flow']);
  });

  it('that does not follow an alarm is told after delay, tolerance and latency; a disconnected one at once, as such', () => {
    expect(tellStory(profile, [active(0, 'heat')], 60).findings.map(({ code, raisedAt }) => [code, raisedAt])).toEqual([
      ['alarm-without-release', at(20)],
    ]);
    expect(
      tellStory(profile, [active(0, 'release-disconnect'), active(60, 'heat')], 120).findings.map(
        ({ code, severity, raisedAt }) => [code, severity, raisedAt],
      ),
    ).toEqual([['release-disabled', 'critical', at(60)]]);
  });

  it('disconnected in a test window is what the switch is for', () => {
    const story = [
      command(0, { command: 'test-begin', forSeconds: 20_000, expect: ['heat'] }),
      active(10, 'release-disconnect'),
      active(60, 'heat'),
      restored(90, 'heat'),
      reset(100),
    ];

    expect(tellStory(profile, story, 15_000).raised).toEqual(['stale-link']);
  });
});

describe('waterflow with no release', () => {
  it('waits the latency for a release that may be on its way', () => {
    expect(tellStory(profile, [active(0, 'waterflow')], 9.9).raised).toEqual([]);
    expect(tellStory(profile, [active(0, 'waterflow')], 10).raised).toEqual(['flow-without-release']);
    expect(
      tellStory(
        profile,
        [
          active(0.6, 'waterflow'),
          active(3, 'manual-pull', { observed: 0 }),
          active(3.1, 'solenoid', { observed: 0.1 }),
          active(3.2, 'prime-pressure-low', { observed: 0.2 }),
        ],
        60,
      ).raised,
    ).toEqual([]);
  });

  it('in a test that ends without its restoral outlasts the bleed-down, and is never a trip', () => {
    const story = [
      command(0, { command: 'test-begin', forSeconds: 600, expect: ['waterflow'] }),
      active(60, 'waterflow'),
      command(120, { command: 'test-end' }),
    ];

    const told = tellStory(profile, story, 1_000);

    expect(told.findings.map(({ code, raisedAt }) => [code, raisedAt])).toEqual([
      ['flow-not-restored', at(120 + 81.4 + 1 + 10)],
    ]);
  });
});

describe('the link', () => {
  it('is stale after its interval and the latency, and fresh with the next signal', () => {
    const told = tellStory(profile, [periodicTest(0), periodicTest(3_700)], 3_701);

    expect(told.findings.map(({ code, status, at: when }) => [code, status, when])).toEqual([
      ['stale-link', 'raised', at(3_610)],
      ['stale-link', 'cleared', at(3_700)],
    ]);
  });

  it('tells a gap in the sequence unless the missing one comes within the latency', () => {
    expect(
      tellStory(profile, [periodicTest(0, { sequence: 1 }), periodicTest(10, { sequence: 3 })], 30).raised,
    ).toEqual(['sequence-gap']);
    expect(
      tellStory(
        profile,
        [
          periodicTest(0, { sequence: 1 }),
          periodicTest(10, { sequence: 3 }),
          periodicTest(15, { sequence: 2, observed: 9 }),
        ],
        60,
      ).raised,
    ).toEqual([]);
  });

  it('tells a clock ahead at once, and one behind only when it stays so', () => {
    expect(tellStory(profile, [periodicTest(0, { observed: 61 })]).raised).toEqual(['clock-skew']);
    expect(
      tellStory(profile, [periodicTest(0, { observed: -70 }), periodicTest(60, { observed: -10 })], 70).raised,
    ).toEqual([]);
    expect(
      tellStory(profile, [
        periodicTest(0, { observed: -70 }),
        periodicTest(60, { observed: -10 }),
        periodicTest(120, { observed: 50 }),
      ]).raised,
    ).toEqual(['clock-skew']);
  });

  it('names what a stranger is and what the profile has under its number', () => {
    const told = tellStory(profile, [active(0, 'heat', { point: 3 }), active(1, 'smoke', { point: 42 })]);

    expect(told.raised).toEqual(['unknown-point', 'unknown-point']);
    expect(told.findings[0]?.explanation).toContain('which the profile has as waterflow');
    expect(told.twin.phase).toBe('alarm');
  });

  it('never shows a riser in service while an alarm from an unknown point stands', () => {
    const story = [periodicTest(0), active(10, 'heat', { point: 99 }), restored(60, 'heat', { point: 99 }), reset(90)];
    const phases = [1, 2, 3, 4].map((count) => tellStory(profile, story.slice(0, count)).twin.phase);

    expect(phases).toEqual(['in-service', 'alarm', 'alarm', 'in-service']);
    expect(viewOf(tellStory(profile, story.slice(0, 2)).twin, at(10)).episode?.headline).toContain(
      'heat, point 99 (not in the profile)',
    );
  });

  it('leaves a riser in service when a stranger only reports a reading or a trouble that needs no point', () => {
    const reading = signal(
      10,
      { kind: 'reading', name: 'system-pressure', si: 0, value: 0, unit: 'bar' },
      { point: 31 },
    );

    expect(tellStory(profile, [periodicTest(0), reading]).twin.phase).toBe('in-service');
  });
});

describe('a standing condition', () => {
  it('chatters with the third activation 60 s after the first, and not 61 s (FACTS 6.25)', () => {
    const switching = (third: number): readonly RiserEvent[] =>
      [0, 30, third].flatMap((second) => [active(second, 'supply-valve'), restored(second + 5, 'supply-valve')]);

    expect(tellStory(profile, switching(60)).raised).toEqual(['chattering']);
    expect(tellStory(profile, switching(61)).raised).toEqual([]);
  });

  it('adds impairments up over any 24 h: 6 h and 4 h 1 min are over 10 h, 6 h and 4 h are not (FACTS 2.18)', () => {
    const declared = (hours: number, minutes: number): readonly RiserEvent[] => [
      command(0, { command: 'impairment-begin', kind: 'planned', reason: 'pipe work' }),
      command(6 * 3_600, { command: 'impairment-end' }),
      command(8 * 3_600, { command: 'impairment-begin', kind: 'planned', reason: 'pipe work' }),
      command(8 * 3_600 + hours * 3_600 + minutes * 60, { command: 'impairment-end' }),
    ];

    expect(tellStory(profile, declared(4, 1)).raised).toEqual(['impairment-overdue']);
    expect(tellStory(profile, declared(4, 0), 100_000).raised).toEqual([]);
  });

  it('is acknowledged without being cleared', () => {
    const told = tellStory(profile, [
      active(0, 'supply-valve'),
      active(30, 'waterflow'),
      command(40, { command: 'acknowledge', finding: 'flow-with-supply-closed' }),
    ]);

    const [raised, ...later] = told.findings.map(({ status, alertState }) => [status, alertState]);
    expect(raised).toEqual(['raised', 'unacknowledged']);
    expect(new Set(later.map(String))).toEqual(new Set(['updated,acknowledged']));
    expect(told.standing).toEqual(['flow-with-supply-closed']);
  });

  it('tells a quiet riser with its valve closed twice over: left closed, and not restored', () => {
    const told = tellStory(
      profile,
      [...tripAndRestoration.slice(0, 10), ...[3_000, 6_000].map((second) => periodicTest(second))],
      9_400,
    );

    expect(told.raised).toContain('incomplete-restoration');
    expect(told.raised).toContain('supply-left-closed');
  });
});

describe('a late signal', () => {
  it('that changes the story is out of order, and takes back what a false order had raised', () => {
    const told = tellStory(
      profile,
      [
        periodicTest(0, { observed: -0.2 }),
        active(10.2, 'heat', { observed: 10 }),
        active(60, 'solenoid', { observed: 10.1 }),
      ],
      62,
    );

    expect(told.findings.map(({ code, status }) => `${code} ${status}`)).toEqual([
      'alarm-without-release raised',
      'alarm-without-release cleared',
      'out-of-order raised',
    ]);
    expect(told.findings[1]?.explanation).toContain('came late');
  });

  it('of a kind that says nothing new is not', () => {
    const told = tellStory(
      profile,
      [periodicTest(0), signal(60, { kind: 'act', name: 'silence' }, { observed: 20 })],
      90,
    );

    expect(told.raised).toEqual([]);
  });
});
