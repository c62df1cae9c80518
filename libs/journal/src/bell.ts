/** Wakes those who wait for something to be recorded. A ring between looking and waiting is not missed. */
export interface Bell {
  /** How often it rang; to be read before looking. */
  readonly rings: () => number;
  /** Resolves once it has rung more than `since` times, or the wait is to stop. */
  readonly ringsAfter: (since: number, stop: AbortSignal) => Promise<void>;
}

/** A bell that is rung within the process. */
export class RungBell implements Bell {
  #rings = 0;
  readonly #waiting = new Set<() => void>();

  ring(): void {
    this.#rings += 1;
    for (const wake of this.#waiting) wake();
  }

  readonly rings = (): number => this.#rings;

  readonly ringsAfter = (since: number, stop: AbortSignal): Promise<void> => {
    if (this.#rings > since || stop.aborted) return Promise.resolve();
    return new Promise((resolve) => {
      const wake = (): void => {
        this.#waiting.delete(wake);
        stop.removeEventListener('abort', wake);
        resolve();
      };
      this.#waiting.add(wake);
      stop.addEventListener('abort', wake);
    });
  };
}
