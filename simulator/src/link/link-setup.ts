import type { Instant } from '@tidemark/kernel';
import type { RiserKey } from '@tidemark/signals';

/** A panel and its path to the station. */
export interface LinkSetup {
  readonly key: RiserKey;
  /** The last part of the signals' source. */
  readonly panel: string;
  /** The true time of 0 s. */
  readonly begin: Instant;
  readonly seed: number;
  /** Each message takes `base_s` and evenly up to `spread_s` more, in its order: MQTT keeps it (MQTT 5, 4.6). */
  readonly latency: { readonly base_s: number; readonly spread_s: number };
  /** Whether signals carry a sequence number. */
  readonly numbered: boolean;
  /** How long after the path is gone the broker tells it by the last will. */
  readonly willAfter_s: number;
  /** How many signals are stored while the path is gone; what comes when the store is full is dropped. */
  readonly storeLimit: number;
  /** Whether the panel announces itself at the beginning. */
  readonly announces: boolean;
}

/**
 * Defaults: a fixed line with a second of room (choice of this project); one and a half keep-alive intervals of 60 s
 * until the will (the factor MQTT 5, 3.1.2.10; the interval choice of this project); a store of a thousand (choice of
 * this project).
 */
export const defaultLink = {
  panel: 'panel-1',
  seed: 1,
  latency: { base_s: 0.2, spread_s: 0.3 },
  numbered: true,
  willAfter_s: 90,
  storeLimit: 1_000,
  announces: true,
} as const;

/** Names a run, so that the ids of two runs differ: its beginning and its seed. */
export const runOf = ({ begin, seed }: LinkSetup): string => `${begin.toString(36)}.${seed.toString(36)}`;
