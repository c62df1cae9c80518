import type { Instant } from '@tidemark/kernel';
import type { SignalContent, SignalName } from '@tidemark/signals';
import type { Callee, DispatchStage, DispatchUnit } from '@tidemark/words';
import type { Profile } from './profile.ts';

/** Cites what a claim rests on. */
export interface EventReference {
  /** The journal event's id in the live station; `source id` in a replay of a file. */
  readonly id: string;
  /** What it was, in a word: a signal's name, a command, `link`. */
  readonly what: string;
  /** The panel's clock where it has one, else receipt. */
  readonly at: Instant;
}

/** Which alerts a command means: every one of a finding's code, or one by its id. Exactly one of both is given. */
export interface AlertTarget {
  readonly finding?: string | undefined;
  readonly alert?: string | undefined;
}

/** What may be commanded or put on record from the station (CONTRACT 7.1). */
export type RiserCommand =
  | { readonly command: 'test-begin'; readonly forSeconds: number; readonly expect: readonly SignalName[] }
  | { readonly command: 'test-end' }
  | { readonly command: 'impairment-begin'; readonly kind: 'planned' | 'emergency'; readonly reason: string }
  | { readonly command: 'impairment-end' }
  | ({ readonly command: 'acknowledge' } & AlertTarget)
  | { readonly command: 'confirm'; readonly step: string }
  /** What a check on site found: the check's id, and the one of its outcomes. */
  | { readonly command: 'check-answered'; readonly check: string; readonly found: string }
  | ({ readonly command: 'shelve'; readonly forSeconds: number; readonly reason: string } & AlertTarget)
  | ({ readonly command: 'unshelve' } & AlertTarget)
  | StationRecord;

/** What a person did away from the station's keys, put on record. Without `alert` it concerns the whole riser. */
export type StationRecord =
  | { readonly command: 'note'; readonly text: string }
  | {
      readonly command: 'call-recorded';
      readonly to: Callee;
      /** A call that reached nobody is kept, and fulfils nothing. */
      readonly outcome: 'reached' | 'not-reached';
      readonly person?: string | undefined;
      readonly note?: string | undefined;
      readonly alert?: string | undefined;
    }
  | {
      readonly command: 'dispatch-recorded';
      readonly unit: DispatchUnit;
      readonly stage: DispatchStage;
      readonly reference?: string | undefined;
      readonly note?: string | undefined;
      readonly alert?: string | undefined;
    };

/**
 * Everything that can happen to a riser, in order of receipt. `id` is the event's identity for evidence and for
 * telling a repeat; `receivedAt` is the station's clock.
 */
export type RiserEvent =
  | { readonly type: 'profile-installed'; readonly id: string; readonly receivedAt: Instant; readonly profile: Profile }
  | {
      readonly type: 'signal-received';
      readonly id: string;
      readonly receivedAt: Instant;
      /** The panel's clock; absent where the form has none. */
      readonly observedAt?: Instant;
      readonly source: string;
      readonly sequence?: bigint;
      readonly point?: number;
      readonly text?: string;
      readonly content: SignalContent;
    }
  /** The same source and id again: counted, never folded twice. */
  | { readonly type: 'signal-repeated'; readonly id: string; readonly receivedAt: Instant; readonly source: string }
  | {
      readonly type: 'link-reported';
      readonly id: string;
      readonly receivedAt: Instant;
      readonly link: 'up' | 'down';
      readonly session?: string;
    }
  | {
      readonly type: 'command-given';
      readonly id: string;
      readonly receivedAt: Instant;
      readonly by: string;
      readonly command: RiserCommand;
    }
  /** The station's clock reached a deadline: how time passes while nothing is heard. */
  | { readonly type: 'time-reached'; readonly id: string; readonly receivedAt: Instant };
