import type { Instant, Random } from '@tidemark/kernel';
import { untilDone } from '@tidemark/runtime';
import type { Time } from '@tidemark/runtime';
import type { PartWatch } from './part-watch.ts';
import type { PublishedMessage, Publisher } from './publisher.ts';
import { PublishFault } from './publisher.ts';
import type { RiserName } from './riser-fold.ts';

/** The least time from one state of a riser to its next. A choice of this project: four a second is as fast as one reads. */
const pause_ms = 250;

interface Line {
  readonly publishedAt: Instant | undefined;
  readonly state: 'idle' | 'waiting' | 'publishing' | 'changed-while-publishing';
}

const idle: Line = { publishedAt: undefined, state: 'idle' };

/** What a state publisher needs. */
export interface StatePublisherOptions {
  readonly publisher: Publisher;
  /** The riser's state as it is when asked. */
  readonly stateOf: (riser: RiserName) => PublishedMessage | undefined;
  readonly time: Time;
  readonly random: Random;
  readonly watch: PartWatch;
}

/**
 * Publishes the states of risers: at once when a riser was quiet, else at most one in `pause_ms`, and always the latest.
 * States that were overtaken are never sent. What a broker does not take is tried again, with the state of then.
 */
export class StatePublisher {
  readonly #options: StatePublisherOptions;
  readonly #stop = new AbortController();
  readonly #lines = new Map<RiserName, Line>();
  readonly #cancels = new Map<RiserName, () => void>();
  readonly #publishing = new Set<Promise<void>>();

  constructor(options: StatePublisherOptions) {
    this.#options = options;
  }

  /** The riser's state changed. */
  changed(riser: RiserName): void {
    if (this.#stop.signal.aborted) return;
    const line = this.#lines.get(riser) ?? idle;
    switch (line.state) {
      case 'idle':
        this.#schedule(riser, line);
        return;
      case 'publishing':
        this.#lines.set(riser, { ...line, state: 'changed-while-publishing' });
        return;
      case 'waiting':
      case 'changed-while-publishing':
        return;
    }
  }

  /** Sends what is waiting, once, and ends. A broker that does not take it gets the state again after the next start. */
  async stop(): Promise<void> {
    this.#stop.abort();
    for (const [riser, cancel] of this.#cancels) {
      cancel();
      this.#begin(riser);
    }
    this.#cancels.clear();
    await Promise.all(this.#publishing);
  }

  #schedule(riser: RiserName, line: Line): void {
    const { time } = this.#options;
    const wait_ms = line.publishedAt === undefined ? 0 : line.publishedAt + pause_ms - time.now();
    if (wait_ms <= 0) {
      this.#begin(riser);
      return;
    }
    this.#lines.set(riser, { ...line, state: 'waiting' });
    const cancel = time.after(wait_ms, () => {
      this.#cancels.delete(riser);
      this.#begin(riser);
    });
    this.#cancels.set(riser, cancel);
  }

  #begin(riser: RiserName): void {
    this.#lines.set(riser, { publishedAt: this.#options.time.now(), state: 'publishing' });
    const publishing = this.#publish(riser).finally(() => this.#publishing.delete(publishing));
    this.#publishing.add(publishing);
  }

  async #publish(riser: RiserName): Promise<void> {
    await this.#send(riser);
    const line = this.#lines.get(riser) ?? idle;
    this.#lines.set(riser, { ...line, state: 'idle' });
    if (line.state === 'changed-while-publishing') this.changed(riser);
  }

  async #send(riser: RiserName): Promise<void> {
    const { publisher, stateOf, time, random, watch } = this.#options;
    const attempt = async (): Promise<void> => {
      const message = stateOf(riser);
      if (message !== undefined) await publisher.publish(message);
    };
    const isPassing = (error: unknown): boolean => error instanceof PublishFault;
    const sent = await untilDone(attempt, {
      timer: time,
      random,
      stop: this.#stop.signal,
      isPassing,
      onFault: watch.failed,
    });
    if (sent.ok) watch.succeeded();
  }
}
