import type { SignalEvent } from '@tidemark/signals';
import type { Delivery } from './delivery.ts';
import type { LinkSetup } from './link-setup.ts';
import type { LinkTrouble } from './trouble.ts';
import type { Histories } from './withhold.ts';

/**
 * The way from a panel to the station, a value: every operation returns another link. Chance is drawn by the number of
 * a message and the name of a trouble, and what time alone brings (a will, a burst) falls on its own moment, so it makes
 * no difference in which slices the link is asked.
 */
export interface PanelLink {
  readonly setup: LinkSetup;
  readonly troubles: readonly LinkTrouble[];
  /** Up to here everything was said, and handed out if it was asked for. */
  readonly now_s: number;
  /** Signals sent over the whole run, and in this session. */
  readonly sent: number;
  readonly sequence: number;
  readonly session: number;
  /** Whether the broker takes the panel for connected. */
  readonly connected: boolean;
  /** The panel starts a new session when the path is back. */
  readonly restarting: boolean;
  /** When the last message that kept its place arrives. */
  readonly lastArrival_s: number;
  /** On the way: sent and not handed out. */
  readonly flying: readonly Delivery[];
  /** Waiting for the path, in their order. */
  readonly stored: readonly Sent[];
  readonly histories: Histories;
}

/** A signal with its number over the whole run. */
export interface Sent {
  readonly event: SignalEvent;
  readonly sent_s: number;
  readonly number: number;
}
