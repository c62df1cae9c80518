import { InvariantViolated } from '@tidemark/kernel';
import type { Instant } from '@tidemark/kernel';
import { JournalUnavailable } from '@tidemark/journal';
import { CommitQueueFull } from './faults.ts';
import type { Answer, GroupWriter, Request } from './group.ts';

/** The most that waits for the next commit. */
export const queueLimit_appends = 20_000;
export const queueLimit_bytes = 64_000_000;

/** Something to write with the next commit. */
export interface Work {
  readonly operation: 'append' | 'checkpoint';
  readonly requests: readonly Request[];
  readonly size_bytes: number;
}

interface Waiting {
  readonly work: Work;
  readonly resolve: (answers: readonly Answer[]) => void;
  readonly reject: (fault: Error) => void;
}

/** How the queue commits, what time it is, and who is told of each commit. */
export interface CommitQueueOptions {
  readonly writer: GroupWriter;
  readonly clock: () => Instant;
  readonly committed: () => void;
}

/**
 * Everything asked for in one turn of the event loop goes into one commit, and so does everything that is asked for
 * while a commit is under way: many appends share one sync of the disk.
 */
export class CommitQueue {
  readonly #options: CommitQueueOptions;
  #waiting: Waiting[] = [];
  #requests = 0;
  #size_bytes = 0;
  /** Runs until nothing waits; absent while nothing does. */
  #running: Promise<void> | undefined;

  constructor(options: CommitQueueOptions) {
    this.#options = options;
  }

  /** Resolves once it is durable. A full queue refuses at once; an empty one takes any single piece of work. */
  add(work: Work): Promise<readonly Answer[]> {
    return new Promise((resolve, reject) => {
      this.#assertRoom(work);
      this.#waiting.push({ work, resolve, reject });
      this.#requests += work.requests.length;
      this.#size_bytes += work.size_bytes;
      this.#running ??= this.#run();
    });
  }

  /** Resolves when nothing waits any more. */
  async drained(): Promise<void> {
    await this.#running;
  }

  async #run(): Promise<void> {
    await new Promise(setImmediate);
    while (this.#waiting.length > 0) await this.#commit();
    this.#running = undefined;
  }

  async #commit(): Promise<void> {
    const group = this.#waiting;
    this.#waiting = [];
    this.#requests = 0;
    this.#size_bytes = 0;
    const { writer, clock, committed } = this.#options;
    try {
      const requests = group.flatMap(({ work }) => work.requests);
      const answers = await writer.commit({ requests, now: clock() });
      let start = 0;
      for (const { work, resolve } of group) resolve(answers.slice(start, (start += work.requests.length)));
      committed();
    } catch (cause) {
      // A bug stays one: only what the world did is a fault that a caller may answer with a retry.
      for (const { work, reject } of group)
        reject(cause instanceof InvariantViolated ? cause : new JournalUnavailable(work.operation, cause));
    }
  }

  #assertRoom({ operation, requests, size_bytes }: Work): void {
    if (this.#waiting.length === 0) return;
    if (this.#requests + requests.length > queueLimit_appends)
      throw new JournalUnavailable(operation, new CommitQueueFull(`${queueLimit_appends} appends`));
    if (this.#size_bytes + size_bytes > queueLimit_bytes)
      throw new JournalUnavailable(operation, new CommitQueueFull(`${queueLimit_bytes} bytes`));
  }
}
