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

/** Gathers messages that come one by one into groups: all that arrived while the group before was being committed. */
export class Gate {
  readonly #intake: Intake;
  readonly #waiting: Waiting[] = [];
  #waiting_bytes = 0;
  #running = false;

  constructor(intake: Intake) {
    this.#intake = intake;
  }

  /** Resolves when the message is durable; rejects with `GateFull` or `IntakeClosed`, then it is not and must not be acknowledged. */
  admit(arrival: Arrival): Promise<Verdict> {
    const { messages, bytes } = gateLimit;
    if (this.#waiting.length >= messages || this.#waiting_bytes >= bytes) return Promise.reject(new GateFull());
    return new Promise((resolve, reject) => {
      this.#waiting.push({ arrival, resolve, reject });
      this.#waiting_bytes += arrival.payload.length;
      if (!this.#running) void this.#run();
    });
  }

  async #run(): Promise<void> {
    this.#running = true;
    while (this.#waiting.length > 0) {
      // One turn of the loop, so that what other sockets already hold joins the group.
      await new Promise(setImmediate);
      await this.#commit(this.#waiting.splice(0, largestGroup));
    }
    this.#running = false;
  }

  async #commit(group: readonly Waiting[]): Promise<void> {
    for (const { arrival } of group) this.#waiting_bytes -= arrival.payload.length;
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
    }
  }
}
