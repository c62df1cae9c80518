/** Which signals something happens to: a share of them by chance, or each n-th by its number. */
export type Which = { readonly share: number } | { readonly every: number };

/** What can go wrong between a panel's contact and the station. Times and lengths in s. */
export type LinkTroubleKind =
  /** The path is gone (MODEL 4.7 K1, K2): what is sent meanwhile is dropped, or stored and sent when it is back. */
  | {
      readonly kind: 'outage';
      readonly meanwhile: 'dropped' | 'stored';
      /** The panel starts anew at the end: a new session whose sequence begins at 1. */
      readonly restart?: boolean;
    }
  /** Signals that are sent, and use up their number, and never arrive. */
  | { readonly kind: 'drop'; readonly which: Which }
  /** The same message delivered again, so long after the first (K3). */
  | { readonly kind: 'duplicate'; readonly which: Which; readonly after_s: number; readonly copies?: number }
  /** Everything takes longer, in its order. */
  | { readonly kind: 'delay'; readonly by_s: number; readonly spread_s?: number }
  /** Some messages are held back and overtaken by those behind them (K4). */
  | { readonly kind: 'reorder'; readonly which: Which; readonly by_s: number }
  /** The panel's clock is ahead (+) or behind (-), or runs fast (+) or slow (-); its end sets the clock right (K5, K6). */
  | { readonly kind: 'clock'; readonly offset_s?: number; readonly drift_s_per_day?: number }
  /** Restorals are not forwarded (K7). */
  | { readonly kind: 'restorals-withheld' }
  /** A point that changed so often within so long is not forwarded until it has been calm for as long (K8). */
  | { readonly kind: 'repeats-withheld'; readonly after: number; readonly within_s: number };

/** A trouble of the link and the stretch of true time in which it holds; without an end until it is mended. */
export type LinkTrouble = LinkTroubleKind & {
  readonly id: string;
  readonly from_s: number;
  readonly until_s?: number;
};
