import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { instant, seededRandom } from '@tidemark/kernel';
import { SqliteJournal } from '@tidemark/journal-sqlite';

/** How often the writer is killed; more kills find rarer faults. A run of 60 found none. */
const kills = 8;

/** Draws after how many promises each kill falls. */
const seed = 20_260_302;

const root = fileURLToPath(new URL('../..', import.meta.url));
const writer = fileURLToPath(new URL('journal-sqlite-writer.ts', import.meta.url));

/** Lets the writer run until it has promised this many events, kills it without warning, and gives back its promises. */
async function killAfter(path: string, run: number, promises: number): Promise<readonly string[]> {
  const process = spawn(
    globalThis.process.execPath,
    ['--conditions=tidemark-source', '--import', 'tsx', writer, path, String(run), String(seed + run)],
    { cwd: root, stdio: ['ignore', 'pipe', 'pipe'] },
  );
  const closed = once(process, 'close');
  let complaint = '';
  process.stderr.setEncoding('utf8').on('data', (text: string) => (complaint += text));
  let promised = '';
  process.stdout.setEncoding('utf8').on('data', (text: string) => {
    promised += text;
    if (promised.split('\n').length > promises) process.kill('SIGKILL');
  });
  const [, signal] = (await closed) as [number | null, string | null];
  expect({ signal, complaint }).toEqual({ signal: 'SIGKILL', complaint: '' });
  return promised.split('\n').slice(0, -1);
}

describe('a journal whose process is killed', () => {
  let folder = '';
  beforeAll(() => void (folder = mkdtempSync(join(tmpdir(), 'tidemark-crash-'))));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  it('holds everything it promised, each event once, in a sound file with an unbroken chain', async () => {
    const path = join(folder, 'journal.db');
    const random = seededRandom(seed);
    const promised: string[] = [];

    for (let run = 0; run < kills; run += 1) {
      promised.push(...(await killAfter(path, run, random.between(1, 1_500))));

      const journal = SqliteJournal.open({ path, clock: () => instant(0) });
      const held: string[] = [];
      for await (const { data } of journal.readAll()) held.push(data['name'] as string);
      const once = new Set(held);
      expect(once.size).toBe(held.length);
      expect(promised.filter((name) => !once.has(name))).toEqual([]);
      expect(await journal.verify()).toMatchObject({ ok: true, value: { events: held.length } });
      await journal.close();

      const database = new Database(path, { readonly: true });
      expect(database.pragma('integrity_check', { simple: true })).toBe('ok');
      expect(database.pragma('foreign_key_check')).toEqual([]);
      database.close();
    }
    expect(promised.length).toBeGreaterThan(kills);
  }, 120_000);
});

describe('a journal that a living process has open', () => {
  it('is refused to a second process for writing until the first is dead, however it dies', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'tidemark-lock-'));
    const path = join(folder, 'journal.db');
    const journal = SqliteJournal.open({ path, clock: () => instant(0) });

    const second = spawn(
      globalThis.process.execPath,
      ['--conditions=tidemark-source', '--import', 'tsx', writer, path, '0', '0'],
      {
        cwd: root,
        stdio: ['ignore', 'ignore', 'pipe'],
      },
    );
    let complaint = '';
    second.stderr.setEncoding('utf8').on('data', (text: string) => (complaint += text));
    const [code] = (await once(second, 'close')) as [number | null];

    expect(code).toBe(1);
    expect(complaint).toContain(`JournalInUse: ${path} is already open for writing`);
    await journal.close();
    await killAfter(path, 0, 1);
    await SqliteJournal.open({ path, clock: () => instant(0) }).close();
    rmSync(folder, { recursive: true, force: true });
  });
});
