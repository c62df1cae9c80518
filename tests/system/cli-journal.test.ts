import { readFile, writeFile } from 'node:fs/promises';
import Database from 'better-sqlite3';
import { deriveEventId, streamName } from '@tidemark/journal';
import { SqliteJournal } from '@tidemark/journal-sqlite';
import { instant } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import { inFolder, tidemarkHere } from '../support/tidemark.ts';

/** A journal of three events in two streams. */
async function fill(path: string): Promise<void> {
  const journal = SqliteJournal.open({ path, clock: () => instant(1_772_000_000_000) });
  const append = async (stream: string, words: readonly string[]): Promise<void> => {
    const events = words.map((word) => ({ id: deriveEventId([stream, word]), type: 'note', data: { word } }));
    const appended = await journal.append({
      stream: streamName('riser', 'quay', stream),
      events,
      expected: 'no-stream',
    });
    expect(appended.ok).toBe(true);
  };
  await append('deluge-1', ['a', 'b']);
  await append('deluge-2', ['c']);
  await journal.close();
}

describe('tidemark journal', () => {
  it('verifies an unbroken journal, while it is open for writing too', async () => {
    await inFolder({}, async (path) => {
      await fill(path('j.db'));
      const writer = SqliteJournal.open({ path: path('j.db'), clock: () => instant(0) });

      const ran = await tidemarkHere(['journal', 'verify', path('j.db')]);

      await writer.close();
      expect(ran).toEqual({ code: 0, out: 'unbroken: 3 events in 2 streams\n', err: '' });
    });
  });

  it('names the first event that is not what it was, and exits with 1', async () => {
    await inFolder({}, async (path) => {
      await fill(path('j.db'));
      const database = new Database(path('j.db'));
      const changed = database.prepare(`UPDATE events SET data = '{"word":"x"}' WHERE data = '{"word":"b"}'`).run();
      database.close();

      const ran = await tidemarkHere(['journal', 'verify', path('j.db')]);

      expect(changed.changes).toBe(1);
      expect(ran).toEqual({
        code: 1,
        out: '',
        err: expect.stringMatching(
          /^broken: changed at position \d+: event [0-9a-f-]{36}, revision 1 of stream riser\/quay\/deluge-1\n$/,
        ) as string,
      });
    });
  });

  it('moves events to another journal, and again without a change', async () => {
    await inFolder({}, async (path) => {
      await fill(path('a.db'));

      const exported = await tidemarkHere(['journal', 'export', path('a.db'), '--out', path('a.ndjson')]);
      const imported = await tidemarkHere(['journal', 'import', path('b.db'), path('a.ndjson')]);
      const again = await tidemarkHere(['journal', 'import', path('b.db'), path('a.ndjson')]);
      const back = await tidemarkHere(['journal', 'export', path('b.db')]);

      expect(exported).toEqual({ code: 0, out: '', err: '5 lines written\n' });
      expect(imported).toEqual({ code: 0, out: '3 events in 2 streams, 3 of them new\n', err: '' });
      expect(again).toEqual({ code: 0, out: '3 events in 2 streams, 0 of them new\n', err: '' });
      expect(back.out).toBe(await readFile(path('a.ndjson'), 'utf8'));
    });
  });

  it('refuses a line that was changed on the way, names it, and exits with 1', async () => {
    await inFolder({}, async (path) => {
      await fill(path('a.db'));
      const { out } = await tidemarkHere(['journal', 'export', path('a.db')]);
      await writeFile(path('changed.ndjson'), out.replace('"word":"b"', '"word":"x"'));

      const ran = await tidemarkHere(['journal', 'import', path('b.db'), path('changed.ndjson')]);

      expect(ran).toEqual({ code: 1, out: '', err: expect.stringMatching(/changed\.ndjson:3: changed: /) as string });
    });
  });

  it('cannot run on what is no journal, is not there, or is being written', async () => {
    await inFolder({ 'text.db': 'tide '.repeat(2_000), 'a.ndjson': '' }, async (path) => {
      const writer = SqliteJournal.open({ path: path('busy.db'), clock: () => instant(0) });

      const text = await tidemarkHere(['journal', 'verify', path('text.db')]);
      const none = await tidemarkHere(['journal', 'export', path('none.db')]);
      const busy = await tidemarkHere(['journal', 'import', path('busy.db'), path('a.ndjson')]);

      await writer.close();
      expect([text, none, busy].map(({ code, out, err }) => [code, out, err.split('\n').length])).toEqual([
        [2, '', 2],
        [2, '', 2],
        [2, '', 2],
      ]);
      expect(none.err).toContain('there is no such file');
      expect(busy.err).toContain('already open for writing');
    });
  });
});
