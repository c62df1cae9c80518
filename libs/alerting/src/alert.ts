import type { Instant } from '@tidemark/kernel';
import type { AlertClass, AlertPriority, AlertState, Duty } from '@tidemark/words';
import type { Life } from './alert-life.ts';
import { isUnanswered } from './alert-life.ts';
import type { DutyRule } from './duty-table.ts';
import { priorityOf } from './policy.ts';

/** What an alert tells of. `key` names it among its riser's: the same key again is the same thing again. */
export interface Subject {
  readonly key: string;
  readonly class: AlertClass;
  /** The code of a finding or the name of a signal: what alerts are counted by. */
  readonly name: string;
  /** For a person. */
  readonly label: string;
  /** Whether its panel holds it until a reset. */
  readonly latches: boolean;
}

/** Why an alert is set aside though it may be active. */
export interface Aside {
  /** `suppressed`: by design, as something graver explains it. `out-of-service`: a test or planned work announced it. */
  readonly as: 'suppressed' | 'out-of-service';
  readonly why: string;
}

/** One thing owed, with its own deadline, from when the alert began. */
export interface OwedDuty {
  readonly duty: Duty;
  readonly opensAt: Instant;
  readonly dueAt: Instant;
  readonly lapses: DutyRule['lapses'];
  readonly fulfilled?: { readonly by: string; readonly at: Instant };
  readonly lapsedAt?: Instant;
}

/** How a duty stands. What was done too late is fulfilled, and its times show it. */
export type DutyState = 'waiting' | 'open' | 'overdue' | 'fulfilled' | 'lapsed';

/** One alert: a value that only its events make. */
export interface Alert extends Subject {
  readonly id: string;
  readonly life: Life;
  /** When the present occasion began. */
  readonly raisedAt: Instant;
  /** How often its condition began since the alert was made. */
  readonly activations: number;
  readonly returnedAt: Instant | undefined;
  readonly acknowledged: { readonly by: string; readonly at: Instant } | undefined;
  readonly shelving:
    { readonly since: Instant; readonly until: Instant; readonly by: string; readonly reason: string } | undefined;
  readonly aside: Aside | undefined;
  readonly duties: readonly OwedDuty[];
  /** The highest level that people's inaction has reached; 0 while nothing is overdue. */
  readonly level: number;
}

/** The state after ISA-18.2 / IEC 62682: what is set aside or shelved is so whatever its condition does. */
export function stateOf({ life, shelving, aside }: Alert): AlertState {
  if (aside !== undefined) return aside.as;
  return shelving === undefined ? life : 'shelved';
}

/** How urgent it is, what nobody did about it included. */
export const priorityNow = (alert: Alert): AlertPriority => priorityOf(alert.class, alert.level);

/** Somebody has yet to look at it: not while it is shelved or set aside. */
export const awaitsAnswer = (alert: Alert): boolean =>
  alert.aside === undefined && alert.shelving === undefined && isUnanswered(alert.life);

/** How a duty stands at a moment; at its very deadline it is still in time. */
export function dutyStateOf({ fulfilled, lapsedAt, opensAt, dueAt }: OwedDuty, now: Instant): DutyState {
  if (fulfilled !== undefined) return 'fulfilled';
  if (lapsedAt !== undefined) return 'lapsed';
  if (now < opensAt) return 'waiting';
  return now <= dueAt ? 'open' : 'overdue';
}

/** Neither fulfilled nor lapsed. */
export const isOwed = ({ fulfilled, lapsedAt }: OwedDuty): boolean => fulfilled === undefined && lapsedAt === undefined;
