/** So many passwords are hashed at a time: each takes 19 MiB and a thread that files need, too. A choice of this project. */
const atOnce = 2;

/** So many wait for their turn; more are sent away. A choice of this project: some seconds of hashing. */
export const waitingLimit = 32;

/** Takes turns at what is costly on purpose, so that a flood of log-ins cannot take the station's memory or threads. */
export class HashingTurns {
  #running = 0;
  readonly #waiting: (() => void)[] = [];

  /** Runs it in its turn; undefined where too many wait already, and then it is not run. */
  async run<Value>(work: () => Promise<Value>): Promise<Value | undefined> {
    if (this.#running >= atOnce) {
      if (this.#waiting.length >= waitingLimit) return undefined;
      await new Promise<void>((resolve) => this.#waiting.push(resolve));
    } else this.#running += 1;
    try {
      return await work();
    } finally {
      const next = this.#waiting.shift();
      if (next === undefined) this.#running -= 1;
      else next();
    }
  }
}
