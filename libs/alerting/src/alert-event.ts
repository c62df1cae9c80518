import type { Instant } from '@tidemark/kernel';
import type { AlertClass, AlertPriority, Duty } from '@tidemark/words';
import type { Aside, OwedDuty, Subject } from './alert.ts';

/** Why a shelving ended. */
export type UnshelvingReason = 'time-over' | 'by-person' | 'new-occasion' | 'graver' | 'escalated';

/** What happened to an alert. */
export type AlertHappening =
  /** It asks for attention, for the first time or anew; `duties` is everything owed from now on. */
  | {
      readonly type: 'alert-raised';
      readonly subject: Subject;
      readonly occasion: 'new' | 'same';
      readonly aside?: Aside;
      readonly duties: readonly OwedDuty[];
    }
  | { readonly type: 'alert-returned' }
  | { readonly type: 'alert-latch-released' }
  | { readonly type: 'alert-acknowledged'; readonly by: string }
  | { readonly type: 'alert-shelved'; readonly by: string; readonly until: Instant; readonly reason: string }
  | { readonly type: 'alert-unshelved'; readonly why: UnshelvingReason; readonly by?: string }
  | { readonly type: 'alert-set-aside'; readonly aside: Aside }
  | { readonly type: 'alert-taken-back' }
  /** It became graver or milder; only the graver one asks for attention anew. */
  | { readonly type: 'alert-reclassed'; readonly class: AlertClass; readonly graver: boolean }
  | { readonly type: 'duty-owed'; readonly owed: OwedDuty }
  | { readonly type: 'duty-fulfilled'; readonly duty: Duty; readonly by: string }
  | { readonly type: 'duty-lapsed'; readonly duty: Duty }
  /** Nobody did what was due: these people are to know. */
  | {
      readonly type: 'alert-escalated';
      readonly level: number;
      readonly priority: AlertPriority;
      readonly to: string;
      readonly duty: Duty;
      readonly dueAt: Instant;
    }
  | { readonly type: 'alert-escalation-lowered'; readonly level: number }
  /** Nothing of it is left to see to. */
  | { readonly type: 'alert-closed' };

/** What happened to an alert, to which, and when by the station's clock. */
export type AlertEvent = { readonly id: string; readonly at: Instant } & AlertHappening;
