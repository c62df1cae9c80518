import type { CauseId } from '@tidemark/words';
import type { Check } from './checks.ts';
import { checks } from './checks.ts';

/** How likely each cause is. */
export type Shares = ReadonlyMap<CauseId, number>;

/** What a costly check must be worth against a plain one (choice of this project). */
const costlyWorth = 0.5;

/**
 * The check that would best split a group, or settle it where it has one member: the one whose outcome is expected to
 * take the most uncertainty away (Shannon, bits), within the group first; of like ones the one that is aimed at it.
 */
export function bestCheck(group: readonly CauseId[], shares: Shares): string {
  const members = new Set(group);
  const within = new Map([...shares].filter(([cause]) => members.has(cause)));
  let best: Check | undefined;
  let most = 0;
  for (const check of checks) {
    const touched = group.filter((cause) => Object.values(check.outcomes).some((causes) => causes.includes(cause)));
    if (touched.length === 0) continue;
    const aimed = touched.length / new Set(Object.values(check.outcomes).flat()).size;
    const worth =
      (information(check, within) + (information(check, shares) + aimed) / 4) *
      (check.costly === true ? costlyWorth : 1);
    if (worth > most) [best, most] = [check, worth];
  }
  return best?.ask ?? 'Have the riser looked at, and compare with the event record of the panel.';
}

/**
 * The bits that a check's outcome is expected to tell of the cause: the entropy of the outcome, less what stays open of
 * it under each cause. A cause the check does not touch may bring any outcome alike.
 */
export function information({ outcomes }: Check, shares: Shares): number {
  const total = [...shares.values()].reduce((sum, share) => sum + share, 0);
  const found = Object.values(outcomes);
  if (total === 0 || found.length < 2) return 0;
  const byOutcome = found.map(() => 0);
  let stillOpen = 0;
  for (const [cause, share] of shares) {
    const at = found.findIndex((causes) => causes.includes(cause));
    if (at < 0) stillOpen += (share / total) * Math.log2(found.length);
    for (const [index, sum] of byOutcome.entries())
      byOutcome[index] = sum + (at < 0 ? share / found.length : index === at ? share : 0) / total;
  }
  return byOutcome.reduce((bits, share) => bits - (share > 0 ? share * Math.log2(share) : 0), -stillOpen);
}

/** The check that asks for this; none where the text is not one of theirs. */
export const checkAsked = (ask: string): Check | undefined => checks.find((check) => check.ask === ask);
