/** A fault that waits for the next call it applies to. */
export type DoubleFault =
  /** The append is committed, then the connection is cut before its answer. */
  | 'cut-after-commit'
  /** The append is committed and never answered; the connection stays. */
  | 'hold-answer'
  /** The read is never answered. */
  | 'hold-read';

/** Faults that the next calls are to meet, in the order in which they were put. */
export class DoubleFaults {
  readonly #faults: DoubleFault[] = [];
  readonly #refusals: string[] = [];

  /** The next call to which it applies meets it. */
  put(fault: DoubleFault, times = 1): void {
    for (let time = 0; time < times; time += 1) this.#faults.push(fault);
  }

  /** The next appends are answered with this type of refusal of the protocol, e.g. `AccessDenied`. */
  refuseAppends(type: string, times = 1): void {
    for (let time = 0; time < times; time += 1) this.#refusals.push(type);
  }

  take(fault: DoubleFault): boolean {
    const index = this.#faults.indexOf(fault);
    if (index >= 0) this.#faults.splice(index, 1);
    return index >= 0;
  }

  refusal(): string | undefined {
    return this.#refusals.shift();
  }

  /** How many have not been met yet. */
  get left(): number {
    return this.#faults.length + this.#refusals.length;
  }
}
