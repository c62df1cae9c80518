import type { Alert, Aside, DutyState, Source } from '@tidemark/alerting';
import {
  awaitsAnswer,
  dutyStateOf,
  dutyTitles,
  isActive,
  priorityNow,
  shelvingLimit_s,
  stateOf,
} from '@tidemark/alerting';
import type { AlertPolicy } from '@tidemark/alerting';
import type { Instant } from '@tidemark/kernel';
import type { AlertClass, AlertPriority, AlertState, Duty } from '@tidemark/words';
import { alertPriorities } from '@tidemark/words';

/** One thing people owe an alert, and how it stands. */
export interface DutyView {
  readonly duty: Duty;
  readonly title: string;
  readonly state: DutyState;
  readonly opensAt: Instant;
  readonly dueAt: Instant;
  readonly fulfilled: { readonly by: string; readonly at: Instant; readonly late: boolean } | undefined;
  readonly source: Source;
}

/** One alert as of a moment: what it is about, how it stands, who owes what by when. */
export interface AlertView {
  readonly id: string;
  readonly class: AlertClass;
  /** The code of a finding or the name of a signal. */
  readonly name: string;
  readonly label: string;
  /** The finding it tells of; absent where a signal stands by itself. */
  readonly finding: string | undefined;
  readonly state: AlertState;
  /** Whether what it tells of stands now, whatever its state. */
  readonly active: boolean;
  /** Inaction included. */
  readonly priority: AlertPriority;
  /** How far inaction has escalated; 0 while nothing is overdue. */
  readonly level: number;
  /** Whom the escalation reached last. */
  readonly escalatedTo: string | undefined;
  readonly awaitsAnswer: boolean;
  readonly raisedAt: Instant;
  readonly returnedAt: Instant | undefined;
  readonly activations: number;
  readonly acknowledged: { readonly by: string; readonly at: Instant } | undefined;
  readonly shelving: Alert['shelving'];
  readonly aside: Aside | undefined;
  /** For how long it may be shelved at most; 0 where it may not be. */
  readonly shelvingLimit_s: number;
  readonly duties: readonly DutyView[];
}

/** The alerts of a riser, most urgent first, then the oldest. */
export const alertViews = (alerts: Iterable<Alert>, policy: AlertPolicy, now: Instant): readonly AlertView[] =>
  [...alerts]
    .map((alert) => alertView(alert, policy, now))
    .toSorted((one, other) => rank(one) - rank(other) || one.raisedAt - other.raisedAt);

const rank = ({ priority }: AlertView): number => alertPriorities.indexOf(priority);

function alertView(alert: Alert, policy: AlertPolicy, now: Instant): AlertView {
  const { id, name, label, key, level, raisedAt, returnedAt, activations, acknowledged, shelving, aside } = alert;
  const limit = shelvingLimit_s(alert, policy);
  return {
    id,
    class: alert.class,
    name,
    label,
    finding: isSignal(alert) ? undefined : key,
    state: stateOf(alert),
    active: isActive(alert.life),
    priority: priorityNow(alert),
    level,
    escalatedTo: policy.escalation[level - 1]?.to,
    awaitsAnswer: awaitsAnswer(alert),
    raisedAt,
    returnedAt,
    activations,
    acknowledged,
    shelving,
    aside,
    shelvingLimit_s: limit.ok ? limit.value : 0,
    duties: alert.duties.map((owed) => {
      const { duty, opensAt, dueAt, fulfilled } = owed;
      const rule = policy.duties.find((each) => each.class === alert.class && each.duty === duty);
      return {
        duty,
        title: dutyTitles[duty],
        state: dutyStateOf(owed, now),
        opensAt,
        dueAt,
        fulfilled: fulfilled && { ...fulfilled, late: fulfilled.at > dueAt },
        source: rule?.source ?? ownRule,
      };
    }),
  };
}

const isSignal = ({ class: alertClass }: Alert): boolean =>
  alertClass === 'alarm' || alertClass === 'supervisory' || alertClass === 'trouble';

/** A duty of a class that the alert has outgrown. */
const ownRule: Source = { text: 'Owed since the alert was of another class', certainty: 'choice-of-this-project' };
