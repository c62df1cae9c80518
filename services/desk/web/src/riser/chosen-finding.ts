import type { Finding, RiserView, Severity } from '@tidemark/api';

const order: readonly Severity[] = ['critical', 'high', 'advisory'];

/** The findings as a person goes through them: what stands before what has gone, the grave first, then the oldest. */
export const inReadingOrder = (findings: readonly Finding[]): readonly Finding[] =>
  findings.toSorted(
    (left, right) =>
      Number(left.status === 'cleared') - Number(right.status === 'cleared') ||
      order.indexOf(left.severity) - order.indexOf(right.severity) ||
      left.raisedAt.localeCompare(right.raisedAt),
  );

/** The finding that is looked at: the one in the address, else the first. */
export function chosenFinding(view: RiserView, code: string | undefined): Finding | undefined {
  const sorted = inReadingOrder(view.findings);
  return sorted.find((finding) => finding.code === code) ?? sorted[0];
}

/** Nobody has answered it yet. */
export const isUnanswered = ({ alertState }: Finding): boolean =>
  alertState === 'unacknowledged' || alertState === 'returned-unacknowledged';
