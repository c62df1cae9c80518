import type Database from 'better-sqlite3';
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
import type { GroupWriter, Request } from './group.ts';
import { SqliteWriter } from './sqlite-writer.ts';
import { ThreadWriter } from './thread-writer.ts';

/** Where the journal lies, what time it is, and who writes. */
export interface SqliteJournalOptions {
  /** A file on a local disk; `-wal`, `-shm` and `.lock` stand beside it. Created when it does not exist. */
  readonly path: string;
  /** Stamps `recordedAt`. */
  readonly clock: () => Instant;
  /**
   * Which thread writes and waits for the disk: this one, or one of its own, which pays where much is written while
   * other work goes on. Absent: this one.
   */
  readonly writer?: 'this-thread' | 'own-thread';
}

/**
 * The journal in one SQLite file, written by one process. An append is durable when it resolves: write-ahead log and a
 * sync of the disk with every commit. What is appended in one turn of the event loop, or while a commit is under way,
 * shares a commit.
 */
export class SqliteJournal implements Journal {
  readonly #release: () => void;
  readonly #pages: SqlitePages;
  readonly #reader: PagedReader;
  readonly #writer: GroupWriter;
  readonly #queue: CommitQueue;
  #closed: Promise<void> | undefined;

  /** Throws `JournalInUse`, `UnknownJournalFormat` or `JournalUnavailable`. */
  static open({ path, clock, writer = 'this-thread' }: SqliteJournalOptions): SqliteJournal {
    const writable = openForWriting(path);
    return new SqliteJournal(
      writable,
      clock,
      writer === 'own-thread' ? new ThreadWriter(path) : thisThread(writable.database),
    );
  }

  /** For `open`, and for tests that limit the database. */
  constructor(
    { database, release }: WritableDatabase,
    clock: () => Instant,
    writer: GroupWriter = thisThread(database),
  ) {
    const bell = new RungBell();
    this.#release = release;
    this.#pages = new SqlitePages(database);
    this.#reader = new PagedReader(this.#pages, bell);
    this.#writer = writer;
    this.#queue = new CommitQueue({ writer, clock, committed: () => bell.ring() });
  }

  async append(append: Append): Promise<Result<Appended, AppendRejection>> {
    const [result] = await this.appendAll([append]);
    invariant(result !== undefined, 'every append has a result');
    return result;
  }

  async appendAll(appends: readonly Append[]): Promise<readonly Result<Appended, AppendRejection>[]> {
    const encoded = encodeAppends(appends);
    this.#reader.assertOpen('append');
    const requests: Request[] = [];
    let size_bytes = 0;
    for (const append of encoded) {
      if (!append.ok) continue;
      requests.push({ type: 'append', append: append.value });
      size_bytes += append.value.size_bytes;
    }
    const answers = (await this.#queue.add({ operation: 'append', requests, size_bytes })).values();
    return encoded.map((append) => {
      const result = append.ok ? answers.next().value : append;
      invariant(result !== undefined, 'every append has a result');
      return result;
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
    const requests: readonly Request[] = [{ type: 'checkpoint', name, position }];
    await this.#queue.add({ operation: 'checkpoint', requests, size_bytes: name.length });
  }

  verify(stream?: StreamName): Promise<Result<Verified, BrokenChain>> {
    return this.#reader.verify(stream);
  }

  close(): Promise<void> {
    this.#closed ??= this.#close();
    return this.#closed;
  }

  async #close(): Promise<void> {
    this.#reader.close();
    await this.#queue.drained();
    await this.#writer.close();
    this.#release();
  }
}

function thisThread(database: Database.Database): GroupWriter {
  const writer = new SqliteWriter(database);
  return {
    commit: (group) => new Promise((resolve) => resolve(writer.commit(group))),
    close: () => Promise.resolve(),
  };
}
