import Database from 'better-sqlite3';
import { JournalUnavailable } from '@tidemark/journal';
import { JournalInUse, UnknownJournalFormat } from './faults.ts';
import { assertKnownFormat, prepareSchema } from './schema.ts';

/** How long a statement waits for a lock that another process holds, e.g. while it recovers the file. */
const busy_ms = 2_000;

/**
 * The write-ahead log is copied into the database each time it holds this many pages (4 KiB each). The index of ids is
 * hit at random, so a page changes many times before it must be copied: ten times the default saves a third of the
 * time of a large append (measured), and recovery after a crash still reads no more than 40 MB.
 */
const logBeforeCopy_pages = 10_000;

/**
 * What a connection keeps of the file. With the default of 2 MB an insert into a journal of 600,000 events fetched a
 * page of the index of ids each time; with this it took an eighth less processor time (measured).
 */
const cache_KiB = 32 * 1_024;

/** The write-ahead log is cut back to this after a burst. */
const logLimit_bytes = 64 * 1_024 * 1_024;

/** The database of the one process that writes, and the lock that makes it the one. */
export interface WritableDatabase {
  readonly database: Database.Database;
  readonly release: () => void;
}

/** Opens the file for writing, creating it if need be. Durable at commit: write-ahead log, and a sync with each commit. */
export function openForWriting(path: string): WritableDatabase {
  const unlock = lock(path);
  try {
    const database = opened(() => {
      const created = new Database(path, { timeout: busy_ms });
      created.defaultSafeIntegers(true);
      prepareSchema(created);
      setDurable(created);
      return created;
    });
    const release = (): void => {
      database.close();
      unlock();
    };
    return { database, release };
  } catch (fault) {
    unlock();
    throw fault;
  }
}

/** A further connection of the process that holds the lock, for its thread that writes. The file must be there. */
export function openSecond(path: string): Database.Database {
  return opened(() => {
    const database = new Database(path, { fileMustExist: true, timeout: busy_ms });
    database.defaultSafeIntegers(true);
    setDurable(database);
    return database;
  });
}

function setDurable(database: Database.Database): void {
  database.pragma('journal_mode = WAL');
  database.pragma('synchronous = FULL');
  database.pragma('foreign_keys = ON');
  // Negative: in KiB; positive would be pages.
  database.pragma(`cache_size = -${cache_KiB}`);
  database.pragma(`wal_autocheckpoint = ${logBeforeCopy_pages}`);
  database.pragma(`journal_size_limit = ${logLimit_bytes}`);
}

/** Opens the file for reading only, also while another process writes it. */
export function openForReading(path: string): Database.Database {
  return opened(() => {
    const database = new Database(path, { readonly: true, fileMustExist: true, timeout: busy_ms });
    database.defaultSafeIntegers(true);
    assertKnownFormat(database);
    return database;
  });
}

/**
 * Takes the writer's lock: an exclusive transaction that stays open on an empty database beside the journal. The
 * operating system drops it with the process, however that ends, so no stale lock is ever left; the file itself stays.
 */
function lock(path: string): () => void {
  const database = opened(() => new Database(`${path}.lock`, { timeout: 0 }));
  try {
    database.exec('BEGIN EXCLUSIVE');
  } catch (cause) {
    database.close();
    throw isBusy(cause) ? new JournalInUse(path, cause) : new JournalUnavailable('open', cause);
  }
  return () => database.close();
}

function opened<Value>(open: () => Value): Value {
  try {
    return open();
  } catch (cause) {
    throw cause instanceof UnknownJournalFormat ? cause : new JournalUnavailable('open', cause);
  }
}

const isBusy = (cause: unknown): boolean =>
  cause instanceof Database.SqliteError && cause.code.startsWith('SQLITE_BUSY');
