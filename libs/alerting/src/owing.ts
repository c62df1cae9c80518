import type { Instant } from '@tidemark/kernel';
import { instant } from '@tidemark/kernel';
import type { Callee, DispatchStage, DispatchUnit, Duty } from '@tidemark/words';
import type { Alert, OwedDuty } from './alert.ts';
import { dutyStateOf, isOwed } from './alert.ts';
import type { DutyRule } from './duty-table.ts';
import type { AlertPolicy } from './policy.ts';

/** What a person did that may fulfil a duty. */
export type Deed =
  | { readonly kind: 'call'; readonly to: Callee; readonly reached: boolean }
  | { readonly kind: 'dispatch'; readonly unit: DispatchUnit; readonly stage: DispatchStage };

/** Everything a class owes from a moment on. */
export const owedFrom = (alertClass: DutyRule['class'], from: Instant, { duties }: AlertPolicy): readonly OwedDuty[] =>
  duties.filter((rule) => rule.class === alertClass && rule.byDefault).map((rule) => owedBy(rule, from));

function owedBy({ duty, opensAfter_s, within_s, lapses }: DutyRule, from: Instant): OwedDuty {
  const opensAt = instant(from + opensAfter_s * 1_000);
  return { duty, opensAt, dueAt: instant(opensAt + within_s * 1_000), lapses };
}

/**
 * What is owed once a condition is there again. What nobody did keeps its earlier deadline; what was done counts for the
 * occasion it was done in; what lapsed begins anew.
 */
export function owedAgain(
  { duties }: Pick<Alert, 'duties'>,
  fresh: readonly OwedDuty[],
  occasion: 'new' | 'same',
): readonly OwedDuty[] {
  const kept = duties.filter(
    (owed) => isOwed(owed) || (occasion === 'same' && owed.fulfilled !== undefined && owed.duty !== 'acknowledge'),
  );
  return [...kept, ...fresh.filter(({ duty }) => !kept.some((owed) => owed.duty === duty))];
}

const answeredBy: Readonly<Record<Callee, readonly Duty[]>> = {
  'fire-service': ['retransmit', 'notify-fire-service'],
  subscriber: ['notify-subscriber', 'call-designated-person'],
  'designated-person': ['call-designated-person'],
  authority: ['notify-authority'],
};

/** The duties that a deed fulfils where they are open; a call that reached nobody fulfils none. */
export function fulfilledBy(deed: Deed): readonly Duty[] {
  if (deed.kind === 'call') return deed.reached ? answeredBy[deed.to] : [];
  if (deed.unit === 'runner') return deed.stage === 'arrived' ? ['attend-on-site'] : [];
  return deed.stage === 'recalled' ? [] : ['retransmit'];
}

/** Where a subscriber can reset by hand, the runner sent for it may be called back (FACTS 1.35): for alarms only. */
export const lapsesBy = (deed: Deed, { class: alertClass }: Alert): readonly Duty[] =>
  deed.kind === 'dispatch' && deed.unit === 'runner' && deed.stage === 'recalled' && alertClass === 'alarm'
    ? ['attend-on-site']
    : [];

/** Whether a deed done now can count for a duty: an early call is no notice of what has not happened yet. */
export const isOpen = (owed: OwedDuty, now: Instant): boolean => {
  const state = dutyStateOf(owed, now);
  return state === 'open' || state === 'overdue';
};

/** When a duty that nobody does reaches a level of escalation: the moment after its deadline, and later steps after that. */
export function reachesLevelAt(owed: OwedDuty, level: number, { escalation }: AlertPolicy): Instant | undefined {
  const step = escalation[level - 1];
  return step === undefined ? undefined : instant(owed.dueAt + 1 + step.after_s * 1_000);
}
