import type { Random, Result } from '@tidemark/kernel';
import { fail, ok } from '@tidemark/kernel';
import type { Backoff } from './backoff.ts';
import { defaultBackoff, delayBefore_ms } from './backoff.ts';
import { isPassing } from './fault.ts';
import type { Timer } from './time.ts';
import { elapsed } from './time.ts';

/** What trying again needs. */
export interface Retrying {
  readonly timer: Timer;
  readonly random: Random;
  /** Ends the trying; nothing is known then of the last attempt. */
  readonly stop: AbortSignal;
  readonly backoff?: Backoff;
  /** Which errors pass; absent: a journal that is unavailable. */
  readonly isPassing?: (error: unknown) => boolean;
  /** Told of each failure, for health. */
  readonly onFault?: (fault: unknown, attempts: number) => void;
}

/**
 * Does it until it is done or to be stopped. The number of attempts is not limited, only their pace: what is retried
 * here has no other way to go, and giving up in silence would be worse than a health value that stays down.
 */
export async function untilDone<Value>(
  attempt: () => Promise<Value>,
  { timer, random, stop, backoff = defaultBackoff, isPassing: passes = isPassing, onFault }: Retrying,
): Promise<Result<Value, 'stopped'>> {
  for (let attempts = 0; !stop.aborted; attempts += 1) {
    try {
      return ok(await attempt());
    } catch (error) {
      if (!passes(error)) throw error;
      onFault?.(error, attempts + 1);
    }
    await elapsed(timer, delayBefore_ms(attempts, backoff, random), stop);
  }
  return fail('stopped');
}
