import {
  deadlinesCaution,
  dutyStateOf,
  dutyTable,
  policyWith,
  priorityNow,
  shelvingLimit_s,
  stateOf,
} from '@tidemark/alerting';
import { defaultPolicy } from '@tidemark/alerting';
import type { Duty } from '@tidemark/words';
import { describe, expect, it } from 'vitest';
import type { Asked } from './book.ts';
import { acknowledge, at, call, off, on, only, shelve, story, subject } from './book.ts';

const alarm = subject('alarm', { latches: true });
const supervisory = subject('supervisory');
const trouble = subject('trouble');

const duty = (asked: readonly Asked[], name: Duty, seconds: number, policy = defaultPolicy) => {
  const owed = only(asked, 0, policy)?.duties.find((each) => each.duty === name);
  return owed === undefined ? 'none' : dutyStateOf(owed, at(seconds));
};

const hour = 3_600;

/** Figures of FACTS 1.31, 1.35, 1.36, 1.37, after NFPA 72, 26.2.1 and 26.3.8; its checks begin at 10:00. */
describe('the deadlines of NFPA 72, chapter 26', () => {
  it.each<[string, Asked, Duty, number, string]>([
    ['an alarm is retransmitted within 90 s: at 90 s in time', on(0, alarm), 'retransmit', 90, 'open'],
    ['and at 91 s too late', on(0, alarm), 'retransmit', 91, 'overdue'],
    ['a runner to an alarm that needs a reset is due at 12:00', on(0, alarm), 'attend-on-site', 2 * hour, 'open'],
    ['and overdue after it', on(0, alarm), 'attend-on-site', 2 * hour + 1, 'overdue'],
    ['a runner to a supervisory signal is due at 12:00', on(0, supervisory), 'attend-on-site', 2 * hour, 'open'],
    ['and overdue after it', on(0, supervisory), 'attend-on-site', 2 * hour + 1, 'overdue'],
    ['the authority need not know before 8 h', on(0, supervisory), 'notify-authority', 8 * hour - 1, 'waiting'],
    ['but at 18:00', on(0, supervisory), 'notify-authority', 8 * hour, 'open'],
    ['personnel to a trouble are due at 14:00', on(0, trouble), 'attend-on-site', 4 * hour, 'open'],
    ['and overdue after it', on(0, trouble), 'attend-on-site', 4 * hour + 1, 'overdue'],
    ['the fire service hears of a trouble of 8 h at 18:00', on(0, trouble), 'notify-fire-service', 8 * hour, 'open'],
    ['and so does the subscriber', on(0, trouble), 'notify-subscriber', 8 * hour, 'open'],
  ])('%s', (_claim, asked, name, seconds, state) => {
    expect(duty([asked], name, seconds)).toBe(state);
  });

  it('start no runner where planned work announced the signal (FACTS 1.36: prearranged)', () => {
    const asked = on(0, supervisory, { aside: { as: 'out-of-service', why: 'planned work' } });

    expect(duty([asked], 'attend-on-site', 3 * hour)).toBe('none');
  });

  it('name the source of every figure, and its certainty', () => {
    for (const { source } of dutyTable) {
      expect(source.text).toMatch(/^(NFPA 72 \(2016 layout\) 26\.|Choice of this project: )/);
      expect(source.text.startsWith('Choice') === (source.certainty === 'choice-of-this-project')).toBe(true);
    }
    expect(deadlinesCaution).toMatch(/authority having jurisdiction decide/);
  });
});

describe('a duty', () => {
  it('is fulfilled by who did it, and stays so', () => {
    const owed = only([on(0, alarm), call(70, 'fire-service')])?.duties.find((each) => each.duty === 'retransmit');

    expect(owed?.fulfilled).toEqual({ by: 'M. Berg', at: at(70) });
  });

  it('is not fulfilled by a call that reached nobody', () => {
    expect(duty([on(0, alarm), call(70, 'subscriber', false)], 'notify-subscriber', 100)).toBe('open');
  });

  it('of a later hour is not fulfilled by a call before it', () => {
    expect(duty([on(0, trouble), call(60, 'subscriber')], 'notify-subscriber', 8 * hour)).toBe('open');
  });

  it('to retransmit stands though the alarm went back to normal, and the runner is no longer needed', () => {
    const asked = [on(0, alarm), off(5, 'alarm'), [20, { type: 'latch-released', key: 'alarm' }]] as const;

    expect([duty(asked, 'retransmit', 30), duty(asked, 'attend-on-site', 30)]).toEqual(['open', 'lapsed']);
  });

  it('to send a runner stands while the panel holds the alarm', () => {
    expect(duty([on(0, alarm), off(5, 'alarm')], 'attend-on-site', 30)).toBe('open');
  });

  it('to tell of eight hours lapses with a trouble that is over before them, and stands with one that is not', () => {
    const over = (seconds: number) =>
      duty([on(0, trouble), off(seconds, 'trouble')], 'notify-subscriber', 8 * hour + 60);

    expect([over(8 * hour - 1), over(8 * hour)]).toEqual(['lapsed', 'open']);
  });

  it.each([
    ['alarm', 'lapsed'],
    ['supervisory', 'open'],
  ] as const)('to attend %s is %s once the runner is called back (FACTS 1.35)', (of, state) => {
    const back: Asked = [
      60,
      { type: 'put-on-record', deed: { kind: 'dispatch', unit: 'runner', stage: 'recalled' }, choice: {}, by: 'M.' },
    ];

    expect(duty([on(0, subject(of)), back], 'attend-on-site', 100)).toBe(state);
  });

  it('that nobody did keeps its deadline when the condition comes again', () => {
    const again = [on(0, trouble), off(100, 'trouble'), on(250, trouble)];

    expect(duty(again, 'call-designated-person', 301)).toBe('overdue');
  });

  it('that was done is owed anew by a new occasion', () => {
    const again = [on(0, alarm), call(30, 'fire-service'), off(60, 'alarm'), on(200, alarm)];

    expect([duty(again, 'retransmit', 290), duty(again, 'retransmit', 291)]).toEqual(['open', 'overdue']);
  });

  it('can be set or ended by the profile, and says so', () => {
    const policy = policyWith({
      deadlines: {
        alarm: {
          retransmit: { withinSeconds: 30 },
          'notify-authority': { withinSeconds: 600 },
          'attend-on-site': 'off',
        },
      },
    });

    expect(duty([on(0, alarm)], 'retransmit', 31, policy)).toBe('overdue');
    expect(duty([on(0, alarm)], 'notify-authority', 600, policy)).toBe('open');
    expect(duty([on(0, alarm)], 'attend-on-site', 600, policy)).toBe('none');
    expect(policy.duties.filter(({ source }) => source.certainty === 'set-by-the-profile')).toHaveLength(3);
  });
});

describe('inaction', () => {
  it('escalates at the moment a deadline has passed, and again by its steps', () => {
    const { events } = story([on(0, supervisory), acknowledge(10)], 3_000);

    expect(events.filter(({ type }) => type === 'alert-escalated')).toMatchObject([
      { at: at(300.001), level: 1, to: 'shift lead', duty: 'call-designated-person', priority: 'emergency' },
      { at: at(600.001), level: 2, to: 'service manager' },
      { at: at(2_100.001), level: 3, to: 'head of the station' },
    ]);
  });

  it('does not escalate what was done at the last moment', () => {
    const done = [on(0, supervisory), acknowledge(180), call(300, 'designated-person')];

    expect(story(done, 7_000).events.map(({ type }) => type)).not.toContain('alert-escalated');
  });

  it('is over once the duty is done, though late', () => {
    const late = only([on(0, supervisory), acknowledge(10), call(700, 'designated-person')])!;

    expect([late.level, priorityNow(late)]).toEqual([0, 'high']);
  });

  it('raises a trouble by a priority with each level', () => {
    const levels = [299, 301, 601].map((seconds) => priorityNow(only([on(0, trouble), acknowledge(10)], seconds)!));

    expect(levels).toEqual(['medium', 'high', 'emergency']);
  });

  it('ends a shelving', () => {
    const { events } = story([on(0, trouble), shelve(10, 7_200)], 400);

    expect(events.filter(({ type }) => type === 'alert-unshelved')).toMatchObject([
      { at: at(300.001), why: 'escalated' },
    ]);
  });
});

describe('shelving', () => {
  it.each([
    ['alarm', 'may-not-be-shelved'],
    ['critical', 'may-not-be-shelved'],
    ['supervisory', 1_800],
    ['trouble', 7_200],
    ['advisory', 28_800],
  ] as const)('of %s has the limit %s', (of, limit) => {
    const answer = shelvingLimit_s(only([on(0, subject(of))])!, defaultPolicy);

    expect(answer.ok ? answer.value : answer.failure).toBe(limit);
  });

  it('of an emergency changes nothing, whoever asks', () => {
    expect(stateOf(only([on(0, alarm), shelve(5, 60)])!)).toBe('unacknowledged');
  });

  it('asked for again does not reach beyond the limit of the first', () => {
    const asked = [on(0, supervisory), call(1, 'designated-person'), shelve(10, 1_200), shelve(1_000, 1_800)];

    expect(only(asked)!.shelving?.until).toBe(at(1_810));
  });

  it('ends when the condition becomes graver', () => {
    const { events, alerts } = story([
      on(0, subject('high')),
      shelve(10, 1_800),
      [100, { type: 'condition-changed', key: 'high', class: 'critical' }],
    ]);

    expect(events).toContainEqual(expect.objectContaining({ type: 'alert-unshelved', why: 'graver', at: at(100) }));
    expect(stateOf(alerts[0]!)).toBe('unacknowledged');
  });
});
