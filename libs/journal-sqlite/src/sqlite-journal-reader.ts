import { setTimeout as sleep } from 'node:timers/promises';
import type Database from 'better-sqlite3';
import type { Result } from '@tidemark/kernel';
import type {
  Bell,
  BrokenChain,
  JournalReader,
  Position,
  ReadAll,
  ReadStream,
  RecordedEvent,
  StreamName,
  Subscribe,
  SubscriptionMessage,
  Verified,
} from '@tidemark/journal';
import { PagedReader } from '@tidemark/journal';
import { openForReading } from './database.ts';
import { SqlitePages } from './sqlite-pages.ts';

/** How often a subscription looks whether the writing process recorded something. */
const poll_ms = 200;

/** Looks again after a while: another process cannot ring. */
const pollingBell: Bell = {
  rings: () => 0,
  ringsAfter: (_since, signal) => sleep(poll_ms, undefined, { signal }).catch(() => undefined),
};

/** Reads a journal file, also while another process writes it: to verify, to export, to look. Changes nothing in it. */
export class SqliteJournalReader implements JournalReader {
  readonly #database: Database.Database;
  readonly #pages: SqlitePages;
  readonly #reader: PagedReader;

  /** Throws `UnknownJournalFormat`, or `JournalUnavailable` when there is no such file. */
  static open(path: string): SqliteJournalReader {
    return new SqliteJournalReader(openForReading(path));
  }

  private constructor(database: Database.Database) {
    this.#database = database;
    this.#pages = new SqlitePages(database);
    this.#reader = new PagedReader(this.#pages, pollingBell);
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

  verify(stream?: StreamName): Promise<Result<Verified, BrokenChain>> {
    return this.#reader.verify(stream);
  }

  close(): Promise<void> {
    this.#reader.close();
    this.#database.close();
    return Promise.resolve();
  }
}
