import { invariant } from '@tidemark/kernel';
import type { Arrival, Verdict } from './arrival.ts';
import { GateFull, IntakeClosed } from './fault.ts';
import type { Intake } from './intake.ts';
import { largestGroup } from './intake.ts';

/** What may wait for the journal at the embedded door. Beyond either, a message is refused and its connection closed. */
export const gateLimit = { messages: 20_000, bytes: 64 * 1024 * 1024 } as const;

interface Waiting {
  readonly arrival: Arrival;
  readonly resolve: (verdict: Verdict) => void;
  readonly reject: (fault: unknown) => void;
}

/** Gathers messages that come one by one into groups: all that arrived in one turn of the loop. */
export class Gate {
  readonly #intake: Intake;
  #waiting: Waiting[] = [];
  /** Not answered yet: waiting here, or being committed. */
  #held = 0;
  #held_bytes = 0;

  constructor(intake: Intake) {
    this.#intake = intake;
  }

  /** Resolves when the message is durable; rejects with `GateFull` or `IntakeClosed`, then it is not and must not be acknowledged. */
  admit(arrival: Arrival): Promise<Verdict> {
    const { messages, bytes } = gateLimit;
    if (this.#held >= messages || this.#held_bytes >= bytes) return Promise.reject(new GateFull());
    return new Promise((resolve, reject) => {
      if (this.#waiting.length === 0) setImmediate(() => this.#handIn());
      this.#waiting.push({ arrival, resolve, reject });
      this.#held += 1;
      this.#held_bytes += arrival.payload.length;
    });
  }

  #handIn(): void {
    const waiting = this.#waiting;
    this.#waiting = [];
    for (let start = 0; start < waiting.length; start += largestGroup)
      void this.#commit(waiting.slice(start, start + largestGroup));
  }

  async #commit(group: readonly Waiting[]): Promise<void> {
    try {
      const verdicts = await this.#intake.admit(group.map(({ arrival }) => arrival));
      for (const [index, { resolve }] of group.entries()) {
        const verdict = verdicts[index];
        invariant(verdict !== undefined, 'the intake answers for each message');
        resolve(verdict);
      }
    } catch (fault) {
      for (const { reject } of group) reject(fault);
      if (!(fault instanceof IntakeClosed)) throw fault;
    } finally {
      this.#held -= group.length;
      for (const { arrival } of group) this.#held_bytes -= arrival.payload.length;
    }
  }
}
