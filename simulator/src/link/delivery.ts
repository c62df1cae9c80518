import type { Instant } from '@tidemark/kernel';
import type { SignalData, SignalEvent } from '@tidemark/signals';

/** What a panel says at a moment of true time, s from the story's beginning. */
export interface Said {
  readonly at_s: number;
  readonly data: SignalData;
  /** So far the panel stamps it ahead of its clock, and whether it bears the number of the signal before: its defects. */
  readonly clockAhead_s?: number;
  readonly numberAgain?: true;
}

/** What a link message says; the broker keeps the last one (CONTRACT 1). */
export interface LinkMessage {
  readonly link: 'up' | 'down';
  readonly session: string;
  /** The panel's clock; a last will has none, being written before it is true. */
  readonly time?: Instant;
}

/**
 * A message as the station receives it. `sent_s` is when the panel said it (of a last will, when the broker did) and
 * `received_s` when it arrives, both true time, s from the story's beginning, to the millisecond.
 */
export type Delivery = {
  readonly sent_s: number;
  readonly received_s: number;
} & (
  | {
      readonly topic: 'signal';
      readonly event: SignalEvent;
      /** A message that was delivered before. */
      readonly repeat: boolean;
    }
  | { readonly topic: 'link'; readonly message: LinkMessage }
);

/**
 * What becomes of what was said: `sent` will be received, `stored` as well once the path is back, `dropped` used up its
 * number and never arrives, `withheld` was never sent and has no number.
 */
export type Fate = 'sent' | 'stored' | 'dropped' | 'withheld';
