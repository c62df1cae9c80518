import type {
  Append,
  Appended,
  AppendRejection,
  Journal,
  NewEvent,
  Position,
  Revision,
  StreamName,
} from '@tidemark/journal';
import type { Random, Result } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
import { deferred, untilDone } from '@tidemark/runtime';
import type { Timer } from '@tidemark/runtime';
import { outputEvents } from './output-events.ts';
import type { PartWatch } from './part-watch.ts';
import { streamOf } from './riser-fold.ts';
import type { TwinChange } from './riser-fold.ts';

/** Up to here what follows from the events has been recorded. */
const checkpoint = 'twin-outputs';

/** What may wait to be recorded before the fold has to wait, and what one commit takes. Choices of this project. */
const limits = { waiting: 10_000, batch: 500, batch_bytes: 500_000 } as const;

/** How often the end of a stream is looked up anew when somebody else wrote to it. */
const contestLimit = 3;

/** Someone else keeps writing to a finding stream: two twins over one journal. */
export class FindingStreamContested extends Error {
  override readonly name = 'FindingStreamContested';
  readonly code = 'finding-stream-contested';

  constructor(stream: StreamName) {
    super(`${stream} is written by somebody else as well; one twin writes the findings of a journal`);
  }
}

interface Waiting {
  readonly stream: StreamName;
  readonly events: readonly NewEvent[];
  readonly position: Position;
  readonly size_bytes: number;
}

/** What an output journal needs. */
export interface OutputJournalOptions {
  readonly journal: Journal;
  readonly timer: Timer;
  readonly random: Random;
  readonly watch: PartWatch;
}

/**
 * Records what the twins make known, in the order in which they did, several changes to a commit. What an earlier
 * process recorded already is skipped by checkpoint, and by id where that was not written any more.
 */
export class OutputJournal {
  readonly #options: OutputJournalOptions;
  readonly #stop = new AbortController();
  readonly #tails = new Map<StreamName, Revision | 'no-stream'>();
  #recordedUpTo: Position | undefined;
  #waiting: Waiting[] = [];
  #running: Promise<void> | undefined;
  readonly #ended = deferred<undefined>();

  constructor(options: OutputJournalOptions) {
    this.#options = options;
  }

  /** Fulfilled after `stop`; rejected with the bug that ended it. Whoever starts it must watch this. */
  get ended(): Promise<undefined> {
    return this.#ended.promise;
  }

  /** To be awaited before the first offer. */
  async start(): Promise<void> {
    const read = await this.#retried(() => this.#options.journal.readCheckpoint(checkpoint));
    if (read.ok) this.#recordedUpTo = read.value;
  }

  /** Takes what the change made known. A promise means that enough is waiting and the next change should wait for it. */
  offer(change: TwinChange): Promise<void> | undefined {
    const { position } = change.recorded;
    const isRecorded = this.#recordedUpTo !== undefined && position <= this.#recordedUpTo;
    if (change.outputs.length === 0 || isRecorded) return undefined;
    const events = outputEvents(change);
    const size_bytes = Buffer.byteLength(JSON.stringify(events));
    this.#waiting.push({ stream: streamOf('finding', change.key), events, position, size_bytes });
    this.#running ??= this.#run();
    return this.#waiting.length < limits.waiting ? undefined : this.#running;
  }

  /** Resolves when everything offered so far is recorded, with whether it is; it is not when the journal was away at the stop. */
  async settled(): Promise<boolean> {
    await this.#running;
    return this.#waiting.length === 0;
  }

  /** Records what is waiting, unless the journal is away: then the next process does. */
  async stop(): Promise<void> {
    this.#stop.abort();
    await this.#running;
    this.#ended.resolve(undefined);
  }

  async #run(): Promise<void> {
    try {
      // One turn of the loop, so that what the fold makes known meanwhile joins the commit.
      await new Promise(setImmediate);
      while (this.#waiting.length > 0) {
        const batch = this.#batch();
        if (!(await this.#record(batch))) return;
        this.#waiting = this.#waiting.slice(batch.length);
      }
    } catch (bug) {
      this.#ended.reject(bug);
    } finally {
      this.#running = undefined;
    }
  }

  /** A copy: what is offered while it is being recorded is not of it. */
  #batch(): readonly Waiting[] {
    let size_bytes = 0;
    const end = this.#waiting.findIndex((each, index) => {
      size_bytes += each.size_bytes;
      return index > 0 && (index >= limits.batch || size_bytes > limits.batch_bytes);
    });
    return this.#waiting.slice(0, end === -1 ? undefined : end);
  }

  async #record(batch: readonly Waiting[]): Promise<boolean> {
    const byStream = new Map<StreamName, NewEvent[]>();
    for (const { stream, events } of batch) byStream.set(stream, [...(byStream.get(stream) ?? []), ...events]);
    for (let tries = 0; byStream.size > 0; tries += 1) {
      const [contested] = byStream.keys();
      if (tries > contestLimit && contested !== undefined) throw new FindingStreamContested(contested);
      const appended = await this.#append(byStream);
      if (!appended) return false;
    }
    const last = batch.at(-1);
    invariant(last !== undefined, 'a batch holds something');
    const noted = await this.#retried(() => this.#options.journal.writeCheckpoint(checkpoint, last.position));
    return noted.ok;
  }

  /** Appends each stream's events and strikes out those that were taken. */
  async #append(byStream: Map<StreamName, NewEvent[]>): Promise<boolean> {
    const appends: Append[] = [];
    for (const [stream, events] of byStream) {
      const tail = await this.#tailOf(stream);
      if (!tail.ok) return false;
      appends.push({ stream, events, expected: tail.value });
    }
    const results = await this.#retried(() => this.#options.journal.appendAll(appends));
    if (!results.ok) return false;
    for (const [index, { stream }] of appends.entries())
      if (this.#learn(stream, results.value[index])) byStream.delete(stream);
    return true;
  }

  #learn(stream: StreamName, result: Result<Appended, AppendRejection> | undefined): boolean {
    invariant(result !== undefined, 'every append has a result');
    if (result.ok) {
      this.#tails.set(stream, result.value.revision);
      return true;
    }
    invariant(result.failure.type === 'wrong-expected-revision', 'what a commit makes known fits into one append');
    this.#tails.set(stream, result.failure.actual);
    return false;
  }

  async #tailOf(stream: StreamName): Promise<Result<Revision | 'no-stream', 'stopped'>> {
    const known = this.#tails.get(stream);
    if (known !== undefined) return { ok: true, value: known };
    return this.#retried(async () => {
      for await (const { revision } of this.#options.journal.readStream(stream, { direction: 'backward', limit: 1 }))
        return revision;
      return 'no-stream' as const;
    });
  }

  async #retried<Value>(attempt: () => Promise<Value>): Promise<Result<Value, 'stopped'>> {
    const { timer, random, watch } = this.#options;
    const done = await untilDone(attempt, { timer, random, stop: this.#stop.signal, onFault: watch.failed });
    if (done.ok) watch.succeeded();
    return done;
  }
}
