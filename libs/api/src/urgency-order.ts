import type { RiserSummary } from './riser.ts';
import { urgencies } from './words.ts';

/** Most urgent first; then what has escalated furthest; then what nobody has acknowledged; then the earliest deadline; then by name, so that order is settled. */
export function byUrgency(left: RiserSummary, right: RiserSummary): number {
  return (
    urgencies.indexOf(left.urgency) - urgencies.indexOf(right.urgency) ||
    right.openAlerts.level - left.openAlerts.level ||
    Number(right.openFindings.unacknowledged > 0) - Number(left.openFindings.unacknowledged > 0) ||
    deadline_ms(left) - deadline_ms(right) ||
    nameOf(left).localeCompare(nameOf(right), 'en')
  );
}

/** Riser without a deadline come last; the figure is finite so that two of them compare as equal. */
const deadline_ms = ({ deadline }: RiserSummary): number =>
  deadline === undefined ? Number.MAX_SAFE_INTEGER : Date.parse(deadline.at);

const nameOf = ({ account, riser }: RiserSummary): string => `${account}/${riser}`;
