import { describe, expect, it } from 'vitest';
import type { RecordedEvent } from '@tidemark/journal';
import { SqliteJournal } from '../src/sqlite-journal.ts';
import { alter, append, collect, deluge1, deluge2, journalPath, tickingClock } from './support.ts';

interface Tampered {
  readonly journal: SqliteJournal;
  readonly all: readonly RecordedEvent[];
  readonly again: (sql: string) => void;
}

/** Five events in each of two streams, in turn. */
async function tampered(sql: string, expectedChanges: number): Promise<Tampered> {
  const path = journalPath();
  const journal = SqliteJournal.open({ path, clock: tickingClock() });
  for (const name of [0, 1, 2, 3, 4])
    await journal.appendAll([append(deluge1, `a${name}`), append(deluge2, `b${name}`)]);
  const all = await collect(journal.readAll());
  expect(await journal.verify()).toMatchObject({ ok: true, value: { events: 10 } });
  expect(alter(path, sql)).toBe(expectedChanges);
  const again = (more: string): void => expect(alter(path, more)).toBe(1);
  return { journal, all, again };
}

const broken = (event: RecordedEvent | undefined, reason: string) => ({
  ok: false,
  failure: {
    type: 'broken-chain',
    reason,
    stream: event?.stream,
    revision: event?.revision,
    position: event?.position,
    id: event?.id,
  },
});

describe('verification of a file that was tampered with', () => {
  it.each([
    ['data', `UPDATE events SET data = '{"name":"other"}' WHERE position = 5`],
    ['data, into no JSON at all', `UPDATE events SET data = 'no' WHERE position = 5`],
    [
      'data, into the same value written otherwise',
      `UPDATE events SET data = replace(data, ':', ': ') WHERE position = 5`,
    ],
    ['type', `UPDATE events SET type = 'waterflow-denied' WHERE position = 5`],
    ['metadata', `UPDATE events SET metadata = '{"schema":2}' WHERE position = 5`],
    ['time', `UPDATE events SET recorded_at = recorded_at - 1 WHERE position = 5`],
    ['id', `UPDATE events SET id = x'00000000000000000000000000000000' WHERE position = 5`],
    ['hash', `UPDATE events SET hash = zeroblob(32) WHERE position = 5`],
  ])('names the event whose %s was changed', async (_, sql) => {
    const { journal, all } = await tampered(sql, 1);

    const verified = await journal.verify();

    const id = sql.includes('SET id') ? { id: '00000000-0000-0000-0000-000000000000' } : {};
    expect(verified).toMatchObject(
      broken(all[4] === undefined ? undefined : ({ ...all[4], ...id } as RecordedEvent), 'changed'),
    );
    await journal.close();
  });

  it('names the event after one that was deleted', async () => {
    const { journal, all } = await tampered('DELETE FROM events WHERE position = 5', 1);

    expect(await journal.verify()).toMatchObject(broken(all[6], 'misplaced'));
    expect(await journal.verify(deluge2)).toMatchObject({ ok: true });
    await journal.close();
  });

  it('names the event after one that was deleted though those behind it were renumbered', async () => {
    const { journal, all, again } = await tampered('DELETE FROM events WHERE position = 5', 1);
    for (const revision of [3, 4])
      again(`UPDATE events SET revision = revision - 1 WHERE stream = 1 AND revision = ${revision}`);

    expect(await journal.verify()).toMatchObject(
      broken({ ...(all[6] as RecordedEvent), revision: 2n as never }, 'changed'),
    );
    await journal.close();
  });

  it('names the last event left when the end of a stream was deleted', async () => {
    const { journal, all } = await tampered('DELETE FROM events WHERE stream = 1 AND revision >= 3', 2);

    expect(await journal.verify()).toMatchObject(broken(all[4], 'cut-off'));
    await journal.close();
  });

  it('names a stream of which nothing is left', async () => {
    const { journal } = await tampered('DELETE FROM events WHERE stream = 1', 5);

    expect(await journal.verify()).toMatchObject({
      ok: false,
      failure: { reason: 'cut-off', stream: deluge1, revision: 0n, position: 0n },
    });
    await journal.close();
  });

  it('names the first of two events whose places in the journal were swapped', async () => {
    const { journal, all, again } = await tampered('UPDATE events SET position = position + 100 WHERE position = 5', 1);
    again('UPDATE events SET position = 5 WHERE position = 7');
    again('UPDATE events SET position = 7 WHERE position = 105');

    expect(await journal.verify()).toMatchObject(
      broken({ ...(all[6] as RecordedEvent), position: 5n as never }, 'misplaced'),
    );
    expect(await journal.verify(deluge1)).toMatchObject({ ok: false, failure: { reason: 'misplaced' } });
    await journal.close();
  });

  it('names the first of two events whose revisions were swapped', async () => {
    const { journal, all, again } = await tampered('UPDATE events SET revision = 100 WHERE position = 5', 1);
    again('UPDATE events SET revision = 2 WHERE position = 7');
    again('UPDATE events SET revision = 3 WHERE position = 5');

    expect(await journal.verify()).toMatchObject(
      broken({ ...(all[4] as RecordedEvent), revision: 3n as never }, 'misplaced'),
    );
    await journal.close();
  });

  it('cannot notice a cut end when the note of the end was changed with it: that takes a hash kept elsewhere', async () => {
    const { journal, all, again } = await tampered('DELETE FROM events WHERE stream = 1 AND revision >= 3', 2);
    const kept = all[8];
    again('UPDATE streams SET revision = 2, hash = (SELECT hash FROM events WHERE position = 5) WHERE key = 1');

    expect(await journal.verify()).toMatchObject({ ok: true, value: { events: 8 } });
    const left = await collect(journal.readStream(deluge1));
    expect(left.some(({ hash }) => hash === kept?.hash)).toBe(false);
    await journal.close();
  });
});
