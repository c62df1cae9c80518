import { describe, expect, it } from 'vitest';
import type { RiserCommand, RiserEvent } from '@tidemark/riser';
import type { AlertView } from '@tidemark/reasoning';
import { viewOf } from '@tidemark/reasoning';
import type { ContactName } from '@tidemark/signals';
import { active, at, command, profileWith, reset, restored, tellStory, trip, tripAndRestoration } from './story.ts';

const profile = profileWith();

/** The alerts of a story, by name, s after its beginning. */
function alertsAfter(events: readonly RiserEvent[], until: number, of = profile): readonly AlertView[] {
  const { twin } = tellStory(of, events, until);
  return viewOf(twin, at(until)).alerts;
}

const states = (events: readonly RiserEvent[], until: number): Readonly<Record<string, string>> =>
  Object.fromEntries(alertsAfter(events, until).map(({ name, state }) => [name, state]));

const acknowledge = (seconds: number, alert: string): RiserEvent => command(seconds, { command: 'acknowledge', alert });
const idOf = (events: readonly RiserEvent[], name: string, until: number): string =>
  alertsAfter(events, until).find((alert) => alert.name === name)!.id;

describe('a signal by itself', () => {
  it.each<[ContactName, string, string]>([
    ['manual-pull', 'alarm', 'retransmit'],
    ['solenoid', 'alarm', 'retransmit'],
    ['supply-valve', 'supervisory', 'call-designated-person'],
    ['battery', 'trouble', 'call-designated-person'],
    ['panel-trouble', 'trouble', 'call-designated-person'],
  ])('%s is an alert of class %s that owes %s, finding or none (CONTRACT 4)', (name, alertClass, duty) => {
    const alert = alertsAfter([active(0, name)], 1).find((each) => each.name === name);

    expect([alert?.class, alert?.finding, alert?.state]).toEqual([alertClass, undefined, 'unacknowledged']);
    expect(alert?.duties.map((each) => each.duty)).toContain(duty);
  });

  it('of an unknown point is one as well', () => {
    expect(states([active(0, 'flame', { point: 99 })], 1)).toMatchObject({ flame: 'unacknowledged' });
  });

  it('that comes after its own restoral was an alarm all the same', () => {
    const overtaken = [restored(5, 'heat', { observed: 4 }), active(6, 'heat', { observed: 3 })];

    expect(states(overtaken, 7)).toMatchObject({ heat: 'latched-unacknowledged' });
  });

  it('latches as an alarm until a reset, and no longer (FACTS 6.05, waterflow)', () => {
    const flow = [active(0, 'waterflow')];
    const seen = [...flow, acknowledge(10, idOf(flow, 'waterflow', 1)), restored(20, 'waterflow')];

    expect(states(seen, 25)['waterflow']).toBe('latched-acknowledged');
    const retransmitted: RiserCommand = { command: 'dispatch-recorded', unit: 'fire-service', stage: 'sent' };
    const told: RiserCommand = { command: 'call-recorded', to: 'subscriber', outcome: 'reached' };
    const done = [...seen, command(30, retransmitted), command(31, told), reset(40)];
    expect(states(done, 41)['waterflow']).toBeUndefined();
  });

  it('stands until the reset where the panel reports restorals only then, and is let go by it', () => {
    const latching = profileWith('panel: { restorals: reset }');
    const heat = [
      active(0, 'heat'),
      command(10, { command: 'acknowledge', alert: alertsAfter([active(0, 'heat')], 1, latching)[0]!.id }),
    ];
    const stateOf = (events: readonly RiserEvent[], until: number) =>
      alertsAfter(events, until, latching).flatMap(({ name, state }) => (name === 'heat' ? [state] : []));

    expect(stateOf(heat, 600)).toEqual(['acknowledged']);
    // Normal, and still on the list: it was never retransmitted.
    expect(stateOf([...heat, reset(700), restored(700.1, 'heat')], 701)).toEqual(['normal']);
  });

  it('that was acknowledged is not normal before all it owes is done', () => {
    const battery = [active(0, 'battery')];
    const seen = [...battery, acknowledge(10, idOf(battery, 'battery', 1)), restored(20, 'battery')];

    expect(alertsAfter(seen, 25)[0]).toMatchObject({ state: 'normal', name: 'battery' });
    const called = command(30, { command: 'call-recorded', to: 'designated-person', outcome: 'reached' });
    expect(alertsAfter([...seen, called], 31)).toEqual([]);
  });
});

describe('what explains a signal', () => {
  it('is an announced test that expects it: nothing is owed, and it is seen afresh when the test is over', () => {
    const test = command(0, { command: 'test-begin', forSeconds: 600, expect: ['waterflow'] });
    const story = [test, active(60, 'waterflow'), active(61, 'heat')];

    expect(states(story, 70)).toMatchObject({ waterflow: 'out-of-service', heat: 'unacknowledged' });
    expect(states(story, 601)).toMatchObject({ waterflow: 'unacknowledged' });
  });

  it('is no test for what stood before it', () => {
    const test = command(10, { command: 'test-begin', forSeconds: 600, expect: ['waterflow'] });

    expect(states([active(0, 'waterflow'), test], 20)).toMatchObject({ waterflow: 'unacknowledged' });
  });

  it('is no test for water that a release brought, unless the test expects the release', () => {
    const test = command(0, { command: 'test-begin', forSeconds: 600, expect: ['waterflow'] });

    expect(states([test, ...trip(60)], 70)).toMatchObject({ waterflow: 'unacknowledged', solenoid: 'unacknowledged' });
  });

  it.each([
    ['planned', 'supply-valve', 'out-of-service'],
    ['planned', 'manual-pull', 'unacknowledged'],
    ['planned', 'battery', 'unacknowledged'],
    ['emergency', 'supply-valve', 'unacknowledged'],
  ] as const)('is a planned impairment for supervisory signals alone: %s, %s is %s', (kind, name, state) => {
    const declared = command(0, { command: 'impairment-begin', kind, reason: 'Valve overhaul' });

    expect(states([declared, active(60, name)], 61)).toMatchObject({ [name]: state });
  });

  it('is a release, for the priming pressure that it vents, until that comes back for the first time', () => {
    expect(states(trip(0), 5)).toMatchObject({ 'prime-pressure-low': 'suppressed' });
    const again = [...trip(0), restored(600, 'prime-pressure-low'), active(700, 'prime-pressure-low')];
    expect(states(again, 701)).toMatchObject({ 'prime-pressure-low': 'unacknowledged' });
  });

  it('is the point itself, for the panel’s sum of it; the sum alone is an alert', () => {
    expect(states([active(0, 'heat'), active(0.1, 'panel-alarm')], 1)).toMatchObject({ 'panel-alarm': 'suppressed' });
    expect(states([active(0.1, 'panel-alarm')], 1)).toMatchObject({ 'panel-alarm': 'unacknowledged' });
  });
});

describe('a finding', () => {
  const story = [active(0, 'supply-valve'), active(30, 'waterflow')];

  it('that is acknowledged has its evidence acknowledged with it', () => {
    const seen = [...story, command(40, { command: 'acknowledge', finding: 'flow-with-supply-closed' })];

    expect(states(seen, 41)).toEqual({
      'flow-with-supply-closed': 'acknowledged',
      waterflow: 'acknowledged',
      'supply-valve': 'acknowledged',
    });
  });

  it('says its alert’s state in every message about it', () => {
    const skewed = active(0, 'battery', { observed: 120 });
    const { findings } = tellStory(
      profile,
      [skewed, command(10, { command: 'shelve', finding: 'clock-skew', forSeconds: 1_800, reason: 'Being set' })],
      1_811,
    );

    expect(findings.filter(({ code }) => code === 'clock-skew').map(({ alertState }) => alertState)).toEqual([
      'unacknowledged',
      'shelved',
      'unacknowledged',
    ]);
  });

  it('that is critical is not shelved', () => {
    const shelved = command(40, {
      command: 'shelve',
      finding: 'flow-with-supply-closed',
      forSeconds: 60,
      reason: 'noise',
    });

    expect(states([...story, shelved], 41)).toMatchObject({ 'flow-with-supply-closed': 'unacknowledged' });
  });

  it('that cleared unseen stays until somebody answers', () => {
    const gone = [...story, restored(50, 'supply-valve'), restored(60, 'waterflow')];

    expect(states(gone, 100)).toMatchObject({ 'supply-valve': 'returned-unacknowledged' });
    const all = alertsAfter(gone, 100).filter(({ finding }) => finding !== undefined);
    expect(all.map(({ active: stands, state }) => [stands, state])).toContainEqual([false, 'returned-unacknowledged']);
  });
});

describe('a normal trip and restoration', () => {
  it('leaves its alarms to be answered, and nothing active or latched', () => {
    const alerts = alertsAfter(tripAndRestoration, 2_100);

    expect(alerts.map(({ name, state }) => [name, state])).toEqual([
      ['manual-pull', 'returned-unacknowledged'],
      ['solenoid', 'returned-unacknowledged'],
      ['waterflow', 'returned-unacknowledged'],
      ['supply-valve', 'returned-unacknowledged'],
    ]);
  });
});

describe('the record of what people did', () => {
  const note: RiserCommand = { command: 'note', text: 'The caretaker is on the way' };

  it('names who, when and what, and whether it belongs to the open episode', () => {
    const { twin } = tellStory(profile, [command(0, note), active(60, 'heat'), command(70, note)], 80);

    expect(
      viewOf(twin, at(80)).actions.map(({ by, at: when, command: given, inEpisode }) => [by, when, given, inEpisode]),
    ).toEqual([
      ['M. on shift', at(0), note, false],
      ['M. on shift', at(70), note, true],
    ]);
  });

  it('puts no riser in service that was never heard of', () => {
    expect(viewOf(tellStory(profile, [command(0, note)]).twin, at(1)).phase).toBe('unknown');
  });
});

describe('a deadline of the profile', () => {
  it('holds for its riser and falls due by the clock of the station alone', () => {
    const strict = profileWith(
      'alerting: { deadlines: { trouble: { call-designated-person: { withinSeconds: 30 } } } }',
    );
    const { outputs } = tellStory(strict, [active(0, 'battery')], 3_000);
    const escalated = outputs.flatMap((output) =>
      output.type === 'alert' && output.event.type === 'alert-escalated' ? [output.event] : [],
    );

    expect(escalated.map(({ at: when, duty, level }) => [when, duty, level])).toEqual([
      [at(30.001), 'call-designated-person', 1],
      [at(330.001), 'call-designated-person', 2],
      [at(1_830.001), 'call-designated-person', 3],
    ]);
  });
});
