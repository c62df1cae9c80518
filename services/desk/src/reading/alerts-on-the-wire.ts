import type * as wire from '@tidemark/api';
import type { AlertEvent, AlertPolicy } from '@tidemark/alerting';
import { deadlinesCaution, dutyTitles } from '@tidemark/alerting';
import type { RiserKey } from '@tidemark/api';
import { formatInstant } from '@tidemark/kernel';
import { alertOnTheWire } from '@tidemark/reasoning';
import type { ActionView, AlertView, DutyView, RiserView } from '@tidemark/reasoning';

/** The alerts of a riser, most urgent first. */
export const alertsOnTheWire = ({ alerts }: RiserView): wire.Alert[] => alerts.map(alertOnTheWire);

/** What a person did; the words of its command were checked when it was given. */
export const actionOnTheWire = ({ id, at, by, command, inEpisode }: ActionView): wire.RiserView['actions'][number] => ({
  id,
  at: formatInstant(at),
  by,
  command: command as wire.RiserCommand,
  inEpisode,
});

/** What a list says of a riser's alerts. */
export function openAlertsOf({ alerts }: RiserView): wire.RiserSummary['openAlerts'] {
  const next = nextDuty(alerts);
  const unanswered = alerts.filter(({ awaitsAnswer }) => awaitsAnswer);
  return {
    unacknowledged: unanswered.length,
    unanswered: unanswered.map((alert) => ({ alert: alert.id, label: shortLabel(alert) })),
    shelved: alerts.filter(({ state }) => state === 'shelved').length,
    overdue: alerts.flatMap(({ duties }) => duties).filter(({ state }) => state === 'overdue').length,
    level: Math.max(0, ...alerts.map(({ level }) => level)),
    ...(next === undefined ? {} : { nextDuty: next }),
  };
}

/** A finding's label is its whole explanation; in a list it goes by its code. */
export const shortLabel = ({ finding, label, name }: AlertView): string =>
  finding === undefined ? label : name.replaceAll('-', ' ');

function nextDuty(alerts: readonly AlertView[]): wire.RiserSummary['openAlerts']['nextDuty'] {
  const due = alerts
    .flatMap(({ id, duties }) => duties.filter(isDue).map((duty) => ({ id, duty })))
    .toSorted((one, other) => one.duty.dueAt - other.duty.dueAt)[0];
  if (due === undefined) return undefined;
  const { duty, title, dueAt, state } = due.duty;
  return { alert: due.id, duty, title, dueAt: formatInstant(dueAt), state };
}

/** Whether it can be done now, or should have been. */
export const isDue = (duty: DutyView): duty is DutyView & { readonly state: 'open' | 'overdue' } =>
  duty.state === 'open' || duty.state === 'overdue';

/** An escalation as the live stream tells it. */
export const escalationOnTheWire = (
  { account, riser }: RiserKey,
  { at, id, level, priority, to, duty, dueAt }: Extract<AlertEvent, { type: 'alert-escalated' }>,
): wire.LiveEvent<'escalated'> => ({
  at: formatInstant(at),
  account,
  riser,
  alert: id,
  level,
  priority,
  to,
  duty,
  dueAt: formatInstant(dueAt),
});

/** The deadlines that a policy sets, with the caution that belongs to them. */
export const deadlinesOnTheWire = ({
  duties,
  shelving_s,
  escalation,
  retrigger_s,
}: AlertPolicy): wire.DeadlineTable => ({
  caution: deadlinesCaution,
  duties: duties.map(({ class: alertClass, duty, opensAfter_s, within_s, byDefault, source }) => ({
    class: alertClass,
    duty,
    title: dutyTitles[duty],
    opensAfter_s,
    within_s,
    applies: byDefault,
    source: { ...source },
  })),
  shelving_s: { ...shelving_s },
  escalation: escalation.map((step) => ({ ...step })),
  retrigger_s,
});
