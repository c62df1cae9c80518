import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Append, Position } from '@tidemark/journal';
import { appendAllLimit_appends, JournalUnavailable } from '@tidemark/journal';
import { queueLimit_appends, queueLimit_bytes } from '../src/commit-queue.ts';
import { openForWriting } from '../src/database.ts';
import { CommitQueueFull } from '../src/faults.ts';
import { SqliteJournal } from '../src/sqlite-journal.ts';
import { append, collect, deluge1, deluge2, event, journalPath, tickingClock } from './support.ts';

const large = (name: string): Append => ({
  stream: deluge2,
  events: [event(name, 'x'.repeat(900_000))],
  expected: 'any',
});

describe('a full disk', () => {
  it('makes the journal unavailable, loses nothing, and is got over once there is room', async () => {
    const writable = openForWriting(journalPath());
    const { database } = writable;
    const journal = new SqliteJournal(writable, tickingClock());
    await journal.append(append(deluge1, 'before'));
    database.pragma(`max_page_count = ${String(database.pragma('page_count', { simple: true }))}`);

    const results = await Promise.allSettled([
      journal.append(append(deluge1, 'beside')),
      journal.append(large('large')),
    ]);

    expect(results).toMatchObject([
      { status: 'rejected', reason: { code: 'journal-unavailable', cause: { code: 'SQLITE_FULL' } } },
      { status: 'rejected', reason: { code: 'journal-unavailable', cause: { code: 'SQLITE_FULL' } } },
    ]);
    expect(await collect(journal.readAll())).toMatchObject([{ data: { name: 'before' } }]);

    database.pragma('max_page_count = 1000000');
    const again = await journal.appendAll([append(deluge1, 'before', 'beside'), large('large')]);

    expect(again).toMatchObject([
      { ok: true, value: { revision: 1n, fresh: [false, true] } },
      { ok: true, value: { revision: 0n, fresh: [true] } },
    ]);
    expect(await journal.verify()).toEqual({ ok: true, value: { events: 3, streams: 2 } });
    await journal.close();
  });
});

describe('the commit queue', () => {
  it('refuses more appends than its limit, and keeps those it took', async () => {
    const journal = SqliteJournal.open({ path: journalPath(), clock: tickingClock() });
    const batch = Array.from({ length: appendAllLimit_appends }, (_, number) => append(deluge1, number));
    const batches = Array.from({ length: queueLimit_appends / appendAllLimit_appends }, () => journal.appendAll(batch));

    await expect(journal.append(append(deluge1, 'one too many'))).rejects.toMatchObject({
      code: 'journal-unavailable',
      cause: { code: 'commit-queue-full', message: expect.stringContaining('20000 appends') as string },
    });

    expect(await Promise.all(batches)).toHaveLength(20);
    expect(await journal.append(append(deluge1, 'one too many'))).toMatchObject({
      ok: true,
      value: { revision: 1_000n },
    });
    await journal.close();
  });

  it('refuses more bytes than its limit', async () => {
    const journal = SqliteJournal.open({ path: journalPath(), clock: tickingClock() });
    const count = Math.ceil(queueLimit_bytes / 900_000);

    const results = await Promise.allSettled(
      Array.from({ length: count }, (_, number) => journal.append(large(String(number)))),
    );

    expect(results.filter(({ status }) => status === 'fulfilled')).toHaveLength(count - 1);
    const refused = results.at(-1);
    const reason: unknown = refused?.status === 'rejected' ? refused.reason : undefined;
    expect(reason).toBeInstanceOf(JournalUnavailable);
    expect((reason as Error).cause).toBeInstanceOf(CommitQueueFull);
    await journal.close();
  });

  it('puts what is asked for in one turn into one commit', async () => {
    const path = journalPath();
    const journal = SqliteJournal.open({ path, clock: tickingClock() });
    await journal.append(append(deluge1, 'first'));
    const before = commitsIn(`${path}-wal`);

    await Promise.all([
      journal.append(append(deluge1, 'a')),
      journal.append(append(deluge2, 'b')),
      journal.writeCheckpoint('twin', 1n as Position),
    ]);
    const together = commitsIn(`${path}-wal`);
    await journal.append(append(deluge1, 'c'));
    await journal.append(append(deluge1, 'd'));

    expect(together - before).toBe(1);
    expect(commitsIn(`${path}-wal`) - together).toBe(2);
    await journal.close();
  });
});

/**
 * How many commits a write-ahead log holds: frames whose header gives the size of the database after the commit
 * (SQLite, Database File Format, section 4.1: log header 32 bytes, frame header 24 bytes, that field at offset 4).
 */
function commitsIn(path: string): number {
  const log = readFileSync(path);
  const frame_bytes = 24 + log.readUInt32BE(8);
  let commits = 0;
  for (let start = 32; start + frame_bytes <= log.length; start += frame_bytes)
    if (log.readUInt32BE(start + 4) !== 0) commits += 1;
  return commits;
}
