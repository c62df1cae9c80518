import { formatInstant } from '@tidemark/kernel';
import type { Phase } from '@tidemark/riser';
import { describe, expect, it } from 'vitest';
import { deadlineOf, urgencyOf } from '../src/reading/urgency.ts';
import { openAlertsOf } from '../src/reading/alerts-on-the-wire.ts';
import { alert, at, duty, finding, inService, step } from './stories.ts';

describe('how soon a person is needed', () => {
  it.each([
    ['critical', 'now'],
    ['high', 'soon'],
    ['advisory', 'when-convenient'],
  ] as const)('follows the gravest finding: %s is %s', (severity, urgency) => {
    const findings = [finding({ severity: 'advisory' }), finding({ severity })];

    expect(urgencyOf(inService({ findings }))).toBe(urgency);
  });

  it.each<[Phase, string]>([
    ['alarm', 'now'],
    ['released', 'now'],
    ['flowing', 'now'],
    ['shutting-down', 'soon'],
    ['reopening', 'soon'],
    ['impaired', 'soon'],
    ['alarm-test', 'when-convenient'],
    ['in-service', 'none'],
    ['unknown', 'none'],
  ])('follows the phase, finding or none: %s is %s', (phase, urgency) => {
    expect(urgencyOf(inService({ phase }))).toBe(urgency);
  });

  it.each([
    ['alarm', 'now'],
    ['supervisory', 'soon'],
    ['trouble', 'soon'],
    ['advisory', 'when-convenient'],
  ] as const)('follows what stands unanswered, whatever the phase: %s is %s', (of, urgency) => {
    expect(urgencyOf(inService({ alerts: [alert({ class: of })] }))).toBe(urgency);
  });

  it('presses on with an alarm that is over until it is retransmitted, and with anything overdue', () => {
    const over = { active: false, awaitsAnswer: false, state: 'normal' } as const;
    const urgency = (...duties: Parameters<typeof duty>) =>
      urgencyOf(inService({ alerts: [alert({ ...over, class: 'alarm', duties: duties.map(duty) })] }));

    expect(urgency({})).toBe('now');
    expect(urgency({ state: 'fulfilled' })).toBe('none');
    expect(urgency({ duty: 'notify-subscriber', state: 'open' })).toBe('soon');
    expect(urgency({ duty: 'attend-on-site', state: 'open' })).toBe('when-convenient');
    expect(urgency({ duty: 'notify-authority', state: 'waiting' })).toBe('none');
    expect(urgency({ duty: 'notify-subscriber', state: 'overdue' })).toBe('now');
  });

  it('asks nobody at once for what is shelved or set aside', () => {
    const shelved = alert({ state: 'shelved', awaitsAnswer: false });

    expect(urgencyOf(inService({ alerts: [shelved] }))).toBe('none');
  });

  it('is not lowered by an acknowledgement: the condition stands', () => {
    expect(urgencyOf(inService({ findings: [finding({ alertState: 'acknowledged' })] }))).toBe('now');
  });

  it('keeps a finding that went unseen on the list until somebody answers', () => {
    const gone = finding({ status: 'cleared', alertState: 'returned-unacknowledged' });

    expect(urgencyOf(inService({ findings: [gone] }))).toBe('when-convenient');
    expect(urgencyOf(inService({ findings: [{ ...gone, alertState: 'normal' }] }))).toBe('none');
  });
});

describe('what decides next', () => {
  const window = { from: at(10), to: at(60) };

  it('is the window of the gravest finding, moved from the panel’s clock to ours', () => {
    const link = { state: 'up', since: undefined, lastHeardAt: undefined, clockOffset_ms: -2_500 } as const;
    const findings = [finding({ severity: 'high', window: { from: at(0), to: at(5) } }), finding({ window })];

    expect(deadlineOf(inService({ findings, link }))).toEqual({ at: formatInstant(at(62.5)), what: 'water to stop' });
  });

  it('is else the next thing awaited', () => {
    const restoration = [
      step({ title: 'Water stopped', by: at(90) }),
      step({ title: 'Priming pressure back', by: at(30) }),
      step({ title: 'Panel reset', by: at(5), status: 'proven' }),
    ];

    expect(deadlineOf(inService({ restoration }))).toEqual({
      at: formatInstant(at(30)),
      what: 'Priming pressure back',
    });
  });

  it('is else the end of the test, else the limit of the impairment, else nothing', () => {
    const test = { origin: 'station', began: at(0), endsAt: at(600), expect: [], seen: [] } as const;
    const impairment = { kind: 'planned', reason: '', began: at(0), limitAt: at(900) } as const;

    expect(deadlineOf(inService({ test, impairment }))?.at).toBe(formatInstant(at(600)));
    expect(deadlineOf(inService({ impairment }))?.at).toBe(formatInstant(at(900)));
    expect(deadlineOf(inService())).toBeUndefined();
  });
});

describe('what a list says of alerts', () => {
  it('counts them, and names the duty that is due first', () => {
    const alerts = [
      alert({
        level: 2,
        duties: [duty({ dueAt: at(90) }), duty({ duty: 'notify-subscriber', dueAt: at(60), state: 'overdue' })],
      }),
      alert({ id: 'b', state: 'shelved', awaitsAnswer: false, duties: [duty({ dueAt: at(10), state: 'fulfilled' })] }),
    ];

    expect(openAlertsOf(inService({ alerts }))).toEqual({
      unacknowledged: 1,
      shelved: 1,
      unanswered: [{ alert: 'a', label: 'Battery' }],
      overdue: 1,
      level: 2,
      nextDuty: {
        alert: 'a',
        duty: 'notify-subscriber',
        title: 'Retransmit it to the fire service',
        dueAt: formatInstant(at(60)),
        state: 'overdue',
      },
    });
  });
});
