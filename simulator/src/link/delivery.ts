import type { Instant } from '@tidemark/kernel';
import type { Signal, SignalData } from '@tidemark/signals';

/** What a panel says at a moment of true time, s from the story's beginning. */
export interface Said {
  readonly at_s: number;
  readonly data: SignalData;
}

/** What a link message says, and whether the broker keeps it. */
export interface LinkMessage {
  readonly link: 'up' | 'down';
  readonly session: string;
  /** The panel's clock; a last will has none, being written before it is true. */
  readonly time?: Instant;
}

/** A message as the station receives it. `sent_s` and `received_s` are true time, s from the story's beginning. */
export type Delivery = {
  readonly sent_s: number;
  readonly received_s: number;
} & (
  | { readonly topic: 'signal'; readonly signal: Signal; readonly repeat: boolean }
  | { readonly topic: 'link'; readonly message: LinkMessage }
);

/**
 * What became of what was said: `sent` will be received, `stored` as well once the path is back, `dropped` used up its
 * number and is gone, `withheld` was never sent.
 */
export type Fate = 'sent' | 'stored' | 'dropped' | 'withheld';
