import type Database from 'better-sqlite3';
import { UnknownJournalFormat } from './faults.ts';

/** The version this build writes, kept in `user_version`. */
export const schemaVersion = 1n;

/** `tide` in ASCII: tells a journal from other SQLite files (`application_id`). */
const applicationId = 0x74696465n;

/**
 * `revision` and `hash` of a stream note its end, so that events missing there are noticed. Ids and hashes are bytes, not
 * text: the index of ids is hit at random by every append, and half the size is half the pages to write.
 */
const tables = `
  CREATE TABLE streams (
    key INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE,
    revision INTEGER NOT NULL,
    hash BLOB NOT NULL
  ) STRICT;
  CREATE TABLE events (
    position INTEGER PRIMARY KEY AUTOINCREMENT,
    stream INTEGER NOT NULL REFERENCES streams (key),
    revision INTEGER NOT NULL,
    id BLOB NOT NULL,
    type TEXT NOT NULL,
    data TEXT NOT NULL,
    metadata TEXT NOT NULL,
    recorded_at INTEGER NOT NULL,
    hash BLOB NOT NULL,
    UNIQUE (stream, revision),
    UNIQUE (stream, id)
  ) STRICT;
  CREATE TABLE checkpoints (
    name TEXT PRIMARY KEY,
    position INTEGER NOT NULL
  ) STRICT, WITHOUT ROWID;
`;

/** Lays out an empty file; refuses one that holds anything else. */
export function prepareSchema(database: Database.Database): void {
  database
    .transaction(() => {
      if (isEmpty(database)) {
        database.exec(tables);
        database.pragma(`application_id = ${String(applicationId)}`);
        database.pragma(`user_version = ${String(schemaVersion)}`);
      }
      assertKnownFormat(database);
    })
    .immediate();
}

/** Throws `UnknownJournalFormat` unless the file is a journal of this version. */
export function assertKnownFormat(database: Database.Database): void {
  if (database.pragma('application_id', { simple: true }) !== applicationId)
    throw new UnknownJournalFormat(database.name, 'it is not marked as a journal');
  const version = database.pragma('user_version', { simple: true });
  if (version !== schemaVersion)
    throw new UnknownJournalFormat(
      database.name,
      `it has version ${String(version)}, known is ${String(schemaVersion)}`,
    );
}

const isEmpty = (database: Database.Database): boolean =>
  database.prepare('SELECT 1 FROM sqlite_schema LIMIT 1').get() === undefined;
