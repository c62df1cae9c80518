import { setTimeout as sleep } from 'node:timers/promises';
import type { Random } from '@tidemark/kernel';
import { delayBefore_ms, InvariantViolated } from '@tidemark/kernel';
import { JournalUnavailable } from '@tidemark/journal';
import { classify } from './classify.ts';
import { Stopped } from './faults.ts';
import type { Patience } from './patience.ts';

/** Counts what failed in a row and waits before the next try. */
export class Attempts {
  readonly #operation: 'append' | 'read' | 'checkpoint';
  readonly #patience: Patience;
  readonly #random: Random;
  #failed = 0;

  constructor(operation: 'append' | 'read' | 'checkpoint', patience: Patience, random: Random) {
    this.#operation = operation;
    this.#patience = patience;
    this.#random = random;
  }

  /** It went on: the next failure is the first again. */
  succeeded(): void {
    this.#failed = 0;
  }

  /** Resolves when it is time for another try. Throws `JournalUnavailable` when there is to be none, and bugs as they are. */
  async failed(error: unknown, stop?: AbortSignal): Promise<void> {
    if (error instanceof InvariantViolated || error instanceof JournalUnavailable || error instanceof Stopped)
      throw error;
    this.#failed += 1;
    if (classify(error) !== 'passing' || this.#failed >= this.#patience.attempts)
      throw new JournalUnavailable(this.#operation, error);
    const delay_ms = delayBefore_ms(this.#failed - 1, this.#patience.backoff, this.#random);
    await sleep(delay_ms, undefined, stop === undefined ? {} : { signal: stop }).catch(() => undefined);
  }
}
