import type { Random } from './random.ts';

/** How long to wait between attempts. */
export interface Backoff {
  readonly first_ms: number;
  readonly longest_ms: number;
}

/** Doubles with each failure up to the longest, then draws from the upper half, so that several do not return together. */
export function delayBefore_ms(attempt: number, backoff: Backoff, random: Random): number {
  const ceiling_ms = Math.min(backoff.longest_ms, backoff.first_ms * 2 ** Math.min(attempt, 30));
  return Math.round(ceiling_ms * (0.5 + random.next() / 2));
}
