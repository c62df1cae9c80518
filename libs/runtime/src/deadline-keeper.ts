import type { Instant } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
import type { Due } from './deadline-heap.ts';
import { DeadlineHeap } from './deadline-heap.ts';
import { deferred } from './deferred.ts';
import type { Time } from './time.ts';

/** What time is told by, and what happens when a deadline is reached. */
export interface DeadlineOptions {
  readonly time: Time;
  /**
   * Called with what fell due, in order of the deadlines, one batch after the other. When it resolves, the keys have
   * their next deadlines. It deals with its own faults; what it throws is a bug and ends the keeper.
   */
  readonly reached: (due: readonly Due[]) => Promise<void>;
}

/** The most deadlines reached at a time. A choice of this project, and what one `appendAll` takes. */
export const dueLimit = 1_000;

/**
 * The longest sleep. After it the clock is looked at again, so that a clock that was set right or a machine that slept
 * delays a deadline by no more than this. A choice of this project.
 */
const longestSleep_ms = 10_000;

/**
 * Keeps the next deadline of every key. It keeps them from the first `set`, and reaches them from `start` on: while
 * history is folded, deadlines come and go without being acted on. A deadline of a key is reached once, and one that
 * lies before it is taken as reached with it.
 */
export class DeadlineKeeper {
  readonly #options: DeadlineOptions;
  readonly #heap = new DeadlineHeap();
  readonly #reached = new Map<string, Instant>();
  readonly #ended = deferred<undefined>();
  #state: 'new' | 'running' | 'stopped' = 'new';
  #working: Promise<void> | undefined;
  #cancel: (() => void) | undefined;

  constructor(options: DeadlineOptions) {
    this.#options = options;
  }

  /** Fulfilled after `stop`; rejected with the bug that ended it. Whoever starts it must watch this. */
  get ended(): Promise<undefined> {
    return this.#ended.promise;
  }

  /** The earliest deadline. */
  next(): Due | undefined {
    return this.#heap.earliest();
  }

  /** Replaces the key's deadline; `undefined` takes it away. */
  set(key: string, at: Instant | undefined): void {
    const reached = this.#reached.get(key);
    const isPast = at !== undefined && reached !== undefined && at <= reached;
    this.#heap.set(key, isPast ? undefined : at);
    this.#arm();
  }

  /** Begins; resolves when everything that is due by now was reached, and what fell due by that. */
  async start(): Promise<void> {
    invariant(this.#state === 'new', 'a keeper is started once');
    this.#state = 'running';
    await this.#work();
  }

  /** Finishes the batch in hand and ends. */
  async stop(): Promise<void> {
    this.#state = 'stopped';
    this.#cancel?.();
    await this.#working;
    this.#ended.resolve(undefined);
  }

  #arm(): void {
    if (this.#state !== 'running' || this.#working !== undefined) return;
    this.#cancel?.();
    const next = this.#heap.earliest();
    if (next === undefined) return;
    const { time } = this.#options;
    const work = (): void => {
      this.#work().catch((bug: unknown) => this.#ended.reject(bug));
    };
    const sleep_ms = next.at - time.now();
    if (sleep_ms <= 0) work();
    else this.#cancel = time.after(Math.min(longestSleep_ms, sleep_ms), work);
  }

  async #work(): Promise<void> {
    if (this.#working !== undefined) return;
    this.#working = this.#reachAll();
    await this.#working;
    this.#working = undefined;
    this.#arm();
  }

  async #reachAll(): Promise<void> {
    while (this.#state === 'running') {
      const due = this.#takeDue();
      if (due.length === 0) return;
      await this.#options.reached(due);
    }
  }

  #takeDue(): readonly Due[] {
    const now = this.#options.time.now();
    const taken: Due[] = [];
    while (taken.length < dueLimit) {
      const due = this.#heap.takeDue(now);
      if (due === undefined) break;
      this.#reached.set(due.key, due.at);
      taken.push(due);
    }
    return taken;
  }
}
