import type { RiserSummary, Urgency } from '@tidemark/api';
import type { Instant } from '@tidemark/kernel';
import { formatInstant } from '@tidemark/kernel';
import type { AlertView, DutyView, Finding, FindingCode, RiserView, Severity } from '@tidemark/reasoning';
import { isDue } from './alerts-on-the-wire.ts';

const ofSeverity: Readonly<Record<Severity, Urgency>> = { critical: 'now', high: 'soon', advisory: 'when-convenient' };

/** The findings whose condition stands, most serious first and then the oldest. */
export const openFindings = ({ findings }: RiserView): readonly Finding[] =>
  findings
    .filter(({ status }) => status !== 'cleared')
    .toSorted((left, right) => rank(left.severity) - rank(right.severity) || left.raisedAt - right.raisedAt);

const severityOrder: readonly Severity[] = ['critical', 'high', 'advisory'];
const rank = (severity: Severity): number => severityOrder.indexOf(severity);

/** Nobody has answered: the condition stands, or has gone without anybody having seen it. */
export const isUnanswered = ({ alertState }: Finding): boolean =>
  alertState === 'unacknowledged' || alertState === 'returned-unacknowledged';

const ofClass: Readonly<Record<AlertView['class'], Urgency>> = {
  alarm: 'now',
  critical: 'now',
  supervisory: 'soon',
  trouble: 'soon',
  high: 'soon',
  advisory: 'when-convenient',
};

/** An alert presses while it stands unanswered, while something owed it is overdue, and until an alarm is retransmitted. */
const presses = ({ active, awaitsAnswer, duties }: AlertView): boolean =>
  (active && awaitsAnswer) ||
  duties.some(({ duty, state }) => state === 'overdue' || (duty === 'retransmit' && state === 'open'));

/** Somebody is to be told, which the standards want at once; the rest that is owed has hours. */
const isCall = ({ duty, state }: DutyView): boolean =>
  state === 'open' && duty !== 'acknowledge' && duty !== 'attend-on-site';

/** How soon the alerts need a person: what is over is not done with while nobody saw it, or something is owed. */
const byAlerts = ({ alerts }: RiserView): readonly Urgency[] =>
  alerts.flatMap((alert) => {
    if (presses(alert)) return [ofClass[alert.class]];
    if (alert.duties.some(isCall)) return ['soon'];
    return alert.awaitsAnswer || alert.duties.some(isDue) ? ['when-convenient'] : [];
  });

/**
 * How soon a person is needed: by the most serious finding, by what the riser is doing, finding or none, and by what
 * nobody has answered or done. Escalation changes none of this; it puts a riser before its equals.
 */
export function urgencyOf(view: RiserView): Urgency {
  const byFinding = openFindings(view)[0];
  const order: readonly Urgency[] = ['now', 'soon', 'when-convenient', 'none'];
  const left: Urgency = view.findings.some(isUnanswered) ? 'when-convenient' : 'none';
  const all = [byFinding === undefined ? left : ofSeverity[byFinding.severity], byPhase(view), ...byAlerts(view)];
  return order.find((urgency) => all.includes(urgency)) ?? 'none';
}

/** An alarm, supervisory or trouble signal needs a person by itself; so does every step on the way back to service. */
function byPhase({ phase, episode, test }: RiserView): Urgency {
  switch (phase) {
    case 'alarm':
    case 'released':
    case 'flowing':
      return 'now';
    case 'shutting-down':
    case 'drained':
    case 'resetting':
    case 'priming':
    case 'reopening':
      return 'soon';
    case 'alarm-test':
      return 'when-convenient';
    case 'impaired':
      return test === undefined ? 'soon' : 'when-convenient';
    case 'in-service':
    case 'unknown':
      return episode === undefined ? 'none' : 'when-convenient';
  }
}

/** What decides next, or should have: the window of the gravest finding, else the next thing awaited, else a limit. */
export function deadlineOf(view: RiserView): RiserSummary['deadline'] {
  const late = openFindings(view).find(({ window }) => window !== undefined);
  if (late?.window !== undefined) {
    const offset_ms = view.link.clockOffset_ms ?? 0;
    return at((late.window.to - offset_ms) as Instant, awaitedIn[late.code] ?? 'the signal that was expected');
  }
  const awaited = view.restoration
    .filter(({ status, by }) => status === 'waiting' && by !== undefined)
    .toSorted((left, right) => (left.by ?? 0) - (right.by ?? 0))[0];
  if (awaited?.by !== undefined) return at(awaited.by, awaited.title);
  if (view.test?.endsAt !== undefined) return at(view.test.endsAt, 'the test window ends');
  if (view.impairment !== undefined) return at(view.impairment.limitAt, 'the impairment reaches its limit');
  return undefined;
}

const at = (time: Instant, what: string) => ({ at: formatInstant(time), what });

/** What the window of a code waits for, in words that fit after "due". */
const awaitedIn: Partial<Readonly<Record<FindingCode, string>>> = {
  'flow-with-supply-closed': 'water to stop',
  'release-without-flow': 'water to be reported',
  'alarm-without-release': 'the release to act',
  'prime-not-restored': 'priming pressure to return',
  'solenoid-not-released': 'the solenoid to rest',
  'supervisory-missing': 'the valve switch to report',
  'flow-not-restored': 'the alarm line to bleed down',
  'alarm-test-without-flow': 'the test to report water',
  'stale-link': 'the panel to be heard',
};
