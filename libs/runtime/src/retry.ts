import type { Random, Result } from '@tidemark/kernel';
import { fail, ok } from '@tidemark/kernel';
import type { Backoff } from '@tidemark/kernel';
import { delayBefore_ms } from '@tidemark/kernel';
import { defaultBackoff } from './backoff.ts';
import { isPassing } from './fault.ts';
import type { Timer } from './time.ts';
import { elapsed } from './time.ts';

/** What trying again needs. */
export interface Retrying {
  readonly timer: Timer;
  readonly random: Random;
  /** Ends the trying after the attempt in hand; nothing is known then of a last attempt that failed. */
  readonly stop: AbortSignal;
  readonly backoff?: Backoff;
  /** Which errors pass; absent: a journal that is unavailable. */
  readonly isPassing?: (error: unknown) => boolean;
  /** Told of each failure, for health. */
  readonly onFault?: (fault: unknown, attempts: number) => void;
}

/**
 * Does it until it is done or to be stopped, and at least once. The number of attempts is not limited, only their pace:
 * what is retried here has no other way to go, and giving up in silence would be worse than a health value that stays
 * down.
 */
export async function untilDone<Value>(
  attempt: () => Promise<Value>,
  { timer, random, stop, backoff = defaultBackoff, isPassing: passes = isPassing, onFault }: Retrying,
): Promise<Result<Value, 'stopped'>> {
  let attempts = 0;
  do {
    try {
      return ok(await attempt());
    } catch (error) {
      if (!passes(error)) throw error;
      attempts += 1;
      onFault?.(error, attempts);
    }
    await elapsed(timer, delayBefore_ms(attempts - 1, backoff, random), stop);
  } while (!stop.aborted);
  return fail('stopped');
}
