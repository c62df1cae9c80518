import type { Instant, Result } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
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
} from '@tidemark/journal';
import { encodeAppends, PagedReader, RungBell } from '@tidemark/journal';
import { CommitQueue } from './commit-queue.ts';
import type { WritableDatabase } from './database.ts';
import { openForWriting } from './database.ts';
import { SqlitePages } from './sqlite-pages.ts';
import { SqliteWriter } from './sqlite-writer.ts';

/** Where the journal lies and what time it is. */
export interface SqliteJournalOptions {
  /** A file on a local disk; `-wal`, `-shm` and `.lock` stand beside it. Created when it does not exist. */
  readonly path: string;
  /** Stamps `recordedAt`. */
  readonly clock: () => Instant;
}

/**
 * The journal in one SQLite file, written by one process. An append is durable when it resolves: write-ahead log and a
 * sync of the disk with every commit. What is appended in one turn of the event loop shares a commit.
 */
export class SqliteJournal implements Journal {
  readonly #clock: () => Instant;
  readonly #release: () => void;
  readonly #pages: SqlitePages;
  readonly #reader: PagedReader;
  readonly #writer: SqliteWriter;
  readonly #queue: CommitQueue;
  #closed = false;

  /** Throws `JournalInUse`, `UnknownJournalFormat` or `JournalUnavailable`. */
  static open({ path, clock }: SqliteJournalOptions): SqliteJournal {
    return new SqliteJournal(openForWriting(path), clock);
  }

  /** For `open`, and for tests that limit the database. */
  constructor({ database, release }: WritableDatabase, clock: () => Instant) {
    const bell = new RungBell();
    this.#clock = clock;
    this.#release = release;
    this.#pages = new SqlitePages(database);
    this.#reader = new PagedReader(this.#pages, bell);
    this.#writer = new SqliteWriter(database);
    this.#queue = new CommitQueue(
      (work) => this.#writer.commit(work),
      () => bell.ring(),
    );
  }

  async append(append: Append): Promise<Result<Appended, AppendRejection>> {
    const [result] = await this.appendAll([append]);
    invariant(result !== undefined, 'every append has a result');
    return result;
  }

  async appendAll(appends: readonly Append[]): Promise<readonly Result<Appended, AppendRejection>[]> {
    const encoded = encodeAppends(appends);
    this.#reader.assertOpen('append');
    let size_bytes = 0;
    for (const append of encoded) size_bytes += append.ok ? append.value.size_bytes : 0;
    return this.#queue.add({
      operation: 'append',
      appends: encoded.length,
      size_bytes,
      run: () => {
        const now = this.#clock();
        return encoded.map((append) => (append.ok ? this.#writer.append(append.value, now) : append));
      },
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

  // eslint-disable-next-line @typescript-eslint/require-await -- A fault is a rejected promise, never thrown at the call.
  async readCheckpoint(name: string): Promise<Position | undefined> {
    this.#reader.assertOpen('read');
    return this.#pages.checkpoint(name);
  }

  async writeCheckpoint(name: string, position: Position): Promise<void> {
    this.#reader.assertOpen('checkpoint');
    const run = (): void => this.#writer.writeCheckpoint(name, position);
    await this.#queue.add({ operation: 'checkpoint', appends: 1, size_bytes: name.length, run });
  }

  verify(stream?: StreamName): Promise<Result<Verified, BrokenChain>> {
    return this.#reader.verify(stream);
  }

  close(): Promise<void> {
    if (this.#closed) return Promise.resolve();
    this.#closed = true;
    this.#queue.flush();
    this.#reader.close();
    return new Promise((resolve) => {
      this.#release();
      resolve();
    });
  }
}
