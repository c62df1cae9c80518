import type { SignalData } from '@tidemark/signals';

/** What a panel does at a moment, s from the story's beginning. In order of time; at one moment in the order given. */
export type PanelOutput = { readonly at_s: number } & (
  | SaidSignal
  /** The release circuit: what the plant's solenoid sees. */
  | { readonly type: 'solenoid'; readonly energized: boolean }
  /** Horns and lights of the building. */
  | { readonly type: 'notification'; readonly sounding: boolean }
  /** A reset that the panel did not perform, and the points that hold it up. Nothing is published. */
  | { readonly type: 'reset-refused'; readonly points: readonly number[] }
  /** The panel lost all power, or is back. While it is down it says nothing: whoever carries its signals loses it too. */
  | { readonly type: 'running'; readonly running: boolean }
);

/** A signal for the wire. Its stamp is the moment and the next number, but for what the panel's defects make of them. */
export interface SaidSignal {
  readonly type: 'signal';
  /** CONTRACT 2, `data`. */
  readonly data: SignalData;
  /** So far is the panel's clock ahead when it stamps the signal; absent when it is right. */
  readonly clockAhead_s?: number;
  /** The signal bears the sequence number of the one before it. */
  readonly numberAgain?: true;
}
