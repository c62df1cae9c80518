import type { Instant, Result } from '@tidemark/kernel';
import { instant, invariant } from '@tidemark/kernel';
import { RungBell } from './bell.ts';
import type {
  Append,
  Appended,
  AppendRejection,
  BrokenChain,
  Journal,
  Position,
  ReadAll,
  ReadStream,
  RecordedEvent,
  StreamName,
  Subscribe,
  SubscriptionMessage,
  Verified,
} from './journal.ts';
import { MemoryRecords } from './memory-records.ts';
import { PagedReader } from './paged-reader.ts';
import { recordAppend } from './record-append.ts';
import { encodeAppends } from './stored-event.ts';

/** What a memory journal may be given. */
export interface MemoryJournalOptions {
  /** Stamps `recordedAt`; absent: the clock of this machine. */
  readonly clock?: () => Instant;
  /** What another memory journal kept, as after a restart; absent: nothing. */
  readonly records?: MemoryRecords;
}

/** A journal for tests and demonstrations: the whole contract but durability. Its records survive `close` if the caller keeps them. */
export class MemoryJournal implements Journal {
  readonly #clock: () => Instant;
  readonly #records: MemoryRecords;
  readonly #bell = new RungBell();
  readonly #reader: PagedReader;

  constructor(options: MemoryJournalOptions = {}) {
    this.#clock = options.clock ?? (() => instant(Date.now()));
    this.#records = options.records ?? new MemoryRecords();
    this.#reader = new PagedReader(this.#records, this.#bell);
  }

  async append(append: Append): Promise<Result<Appended, AppendRejection>> {
    const [result] = await this.appendAll([append]);
    invariant(result !== undefined, 'every append has a result');
    return result;
  }

  appendAll(appends: readonly Append[]): Promise<readonly Result<Appended, AppendRejection>[]> {
    return this.#whileOpen('append', () => {
      const now = this.#clock();
      const results = encodeAppends(appends).map((append) =>
        append.ok ? recordAppend(append.value, this.#records, now) : append,
      );
      this.#bell.ring();
      return results;
    });
  }

  readStream(stream: StreamName, options?: ReadStream): AsyncIterable<RecordedEvent> {
    return this.#reader.readStream(stream, options);
  }

  readAll(options?: ReadAll): AsyncIterable<RecordedEvent> {
    return this.#reader.readAll(options);
  }

  subscribe(options?: Subscribe): AsyncIterable<SubscriptionMessage> {
    return this.#reader.subscribe(options);
  }

  head(): Promise<Position | undefined> {
    return this.#reader.head();
  }

  readCheckpoint(name: string): Promise<Position | undefined> {
    return this.#whileOpen('read', () => this.#records.checkpoints.get(name));
  }

  writeCheckpoint(name: string, position: Position): Promise<void> {
    return this.#whileOpen('checkpoint', () => {
      const before = this.#records.checkpoints.get(name) ?? -1n;
      if (position > before) this.#records.checkpoints.set(name, position);
    });
  }

  verify(stream?: StreamName): Promise<Result<Verified, BrokenChain>> {
    return this.#reader.verify(stream);
  }

  close(): Promise<void> {
    this.#reader.close();
    return Promise.resolve();
  }

  /** The port is asynchronous: a bug or a fault is a rejected promise, never thrown at the call. */
  #whileOpen<Value>(operation: 'append' | 'read' | 'checkpoint', work: () => Value): Promise<Value> {
    return new Promise((resolve) => {
      this.#reader.assertOpen(operation);
      resolve(work());
    });
  }
}
