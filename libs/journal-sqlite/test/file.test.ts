import { dirname, join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import type { Position } from '@tidemark/journal';
import { JournalUnavailable } from '@tidemark/journal';
import { openForWriting } from '../src/database.ts';
import { JournalInUse, UnknownJournalFormat } from '../src/faults.ts';
import { SqliteJournalReader } from '../src/sqlite-journal-reader.ts';
import { SqliteJournal } from '../src/sqlite-journal.ts';
import { alter, append, collect, deluge1, journalPath, tickingClock } from './support.ts';

const open = (path: string): SqliteJournal => SqliteJournal.open({ path, clock: tickingClock() });

describe('a journal file', () => {
  it('is opened for writing by one journal at a time', async () => {
    const path = journalPath();
    const first = open(path);

    expect(() => open(path)).toThrow(JournalInUse);
    await first.append(append(deluge1, 'a'));
    await first.close();

    const second = open(path);
    expect(await collect(second.readAll())).toHaveLength(1);
    await second.close();
  });

  it('is written through a write-ahead log that is synced with every commit', () => {
    const { database, release } = openForWriting(journalPath());

    expect(database.pragma('journal_mode', { simple: true })).toBe('wal');
    // 2 is FULL: https://www.sqlite.org/pragma.html#pragma_synchronous
    expect(database.pragma('synchronous', { simple: true })).toBe(2n);
    expect(database.pragma('foreign_keys', { simple: true })).toBe(1n);
    release();
  });

  it.each([
    ['a newer version', 'PRAGMA user_version = 2', /version 2, known is 1/],
    ['another application', 'PRAGMA application_id = 7', /not marked as a journal/],
  ])('of %s is refused, for writing and for reading, and left as it is', async (_, sql, reason) => {
    const path = journalPath();
    await open(path).close();
    const database = new Database(path);
    database.exec(sql);
    database.close();

    expect(() => open(path)).toThrow(UnknownJournalFormat);
    expect(() => open(path)).toThrow(reason);
    expect(() => SqliteJournalReader.open(path)).toThrow(reason);
  });

  it('that is some other database is refused', () => {
    const path = journalPath();
    new Database(path).exec('CREATE TABLE pumps (name TEXT)').close();

    expect(() => open(path)).toThrow(UnknownJournalFormat);
    const database = new Database(path);
    expect(database.prepare('SELECT name FROM sqlite_schema').pluck().all()).toEqual(['pumps']);
    database.close();
  });

  it('in a folder that does not exist is unavailable', () => {
    const path = join(dirname(journalPath()), 'missing', 'journal.db');

    expect(() => open(path)).toThrow(JournalUnavailable);
    expect(() => SqliteJournalReader.open(path)).toThrow(JournalUnavailable);
  });

  it('whose text is no longer JSON cannot be read past it', async () => {
    const path = journalPath();
    const journal = open(path);
    await journal.append(append(deluge1, 'a', 'b'));
    alter(path, `UPDATE events SET data = 'no' WHERE position = 2`);

    const seen: unknown[] = [];
    const reading = (async () => {
      for await (const { revision } of journal.readStream(deluge1)) seen.push(revision);
    })();

    await expect(reading).rejects.toThrow(JournalUnavailable);
    expect(seen).toEqual([0n]);
    await journal.close();
  });
});

describe('a reader of a journal file', () => {
  it('sees what the writer recorded, while it writes, and verifies it', async () => {
    const path = journalPath();
    const journal = open(path);
    const reader = SqliteJournalReader.open(path);
    await journal.append(append(deluge1, 'a', 'b'));
    await journal.writeCheckpoint('twin', 1n as Position);

    expect(await collect(reader.readAll())).toEqual(await collect(journal.readAll()));
    expect(await collect(reader.readStream(deluge1))).toHaveLength(2);
    expect(await reader.head()).toBe(await journal.head());
    expect(await reader.readCheckpoint('twin')).toBe(1n);
    expect(await reader.verify()).toEqual({ ok: true, value: { events: 2, streams: 1 } });
    await reader.close();
    await journal.close();
  });

  it('is told of what is recorded after it subscribed', async () => {
    const path = journalPath();
    const journal = open(path);
    const reader = SqliteJournalReader.open(path);
    const messages = reader.subscribe()[Symbol.asyncIterator]();
    expect(await messages.next()).toMatchObject({ value: { type: 'caught-up' } });

    const next = messages.next();
    await journal.append(append(deluge1, 'a'));

    expect(await next).toMatchObject({ value: { type: 'event', event: { revision: 0n } } });
    const last = messages.next();
    await reader.close();
    expect(await last).toEqual({ done: true, value: undefined });
    await journal.close();
  });

  it('reads a file that nobody has open, and changes nothing in it', async () => {
    const path = journalPath();
    const journal = open(path);
    await journal.append(append(deluge1, 'a'));
    await journal.close();

    const reader = SqliteJournalReader.open(path);

    expect(await collect(reader.readAll())).toHaveLength(1);
    await reader.close();
    await reader.close();
    await expect(reader.head()).rejects.toThrow(JournalUnavailable);
  });
});
