import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { instant } from '@tidemark/kernel';
import type { Append, EventId } from '@tidemark/journal';
import { deriveEventId, genesisHash, streamName } from '@tidemark/journal';
import { SqliteJournal } from '@tidemark/journal-sqlite';

/**
 * Appends a second of the SQLite journal against a bare loop over the same driver that inserts the same rows into the
 * same tables with the same settings, but checks, chains and encodes nothing: same machine, same run, rounds in turn.
 * Run it with `node --conditions=tidemark-source --import tsx tests/bench/journal.bench.ts [rounds] [groups]`.
 */
const rounds = Number(process.argv[2] ?? 7);
const groups = Number(process.argv[3] ?? 30);
const groupSize = 500;
const singles = 500;

/** About 400 bytes of data an event, spread over this many risers. */
const risers = 20;
const data = { signal: 'waterflow', state: 'active', point: 3, text: 'x'.repeat(340) };
const text = JSON.stringify(data);

/** One of the two that are compared; what it gives back is awaited. */
interface Contender {
  readonly grouped: (appends: readonly Append[]) => unknown;
  readonly single: (append: Append) => unknown;
  readonly close: () => unknown;
}

function journal(path: string): Contender {
  const open = SqliteJournal.open({ path, clock: () => instant(Date.now()) });
  return {
    grouped: (appends) => open.appendAll(appends),
    single: (append) => open.append(append),
    close: () => open.close(),
  };
}

/** The journal's own tables and settings, laid out by opening it once, and nothing but the inserts. */
async function bare(path: string): Promise<Contender> {
  await SqliteJournal.open({ path, clock: () => instant(0) }).close();
  const database = new Database(path);
  for (const setting of ['journal_mode = WAL', 'synchronous = FULL', 'foreign_keys = ON', 'wal_autocheckpoint = 10000'])
    database.pragma(setting);
  const begin = database.prepare('INSERT INTO streams (key, name, revision, hash) VALUES (?, ?, 0, ?)');
  const hash = Buffer.from(genesisHash, 'hex');
  for (let riser = 0; riser < risers; riser += 1) begin.run(riser, String(riser), hash);
  const insert = database.prepare(
    `INSERT INTO events (stream, revision, id, type, data, metadata, recorded_at, hash) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
  );
  let row = 0;
  const insertOne = ({ events }: Append): void => {
    insert.run(row % risers, row, bytesOf(events[0]?.id), 'signal-received', text, '{}', 1_772_439_247_120, hash);
    row += 1;
  };
  const inGroup = database.transaction((appends: readonly Append[]) => appends.forEach(insertOne));
  return { grouped: (appends) => inGroup.immediate(appends), single: insertOne, close: () => database.close() };
}

const bytesOf = (id: EventId | undefined): Buffer => Buffer.from((id ?? '').replaceAll('-', ''), 'hex');

const appendOf = (round: string, number: number): Append => ({
  stream: streamName('riser', 'quayside-cold-store', `deluge-${number % risers}`),
  events: [{ id: deriveEventId(['bench', round, String(number)]), type: 'signal-received', data }],
  expected: 'any',
});

interface Rates {
  readonly grouped: number;
  readonly single: number;
}

async function measure(contender: Contender, round: string): Promise<Rates> {
  const batches = Array.from({ length: groups }, (_, group) =>
    Array.from({ length: groupSize }, (_, index) => appendOf(round, group * groupSize + index)),
  );
  const ones = Array.from({ length: singles }, (_, index) => appendOf(`${round} single`, index));
  const began_ms = performance.now();
  for (const batch of batches) await contender.grouped(batch);
  const between_ms = performance.now();
  for (const one of ones) await contender.single(one);
  const ended_ms = performance.now();
  await contender.close();
  return {
    grouped: (groups * groupSize * 1_000) / (between_ms - began_ms),
    single: (singles * 1_000) / (ended_ms - between_ms),
  };
}

const median = (values: readonly number[]): number =>
  values.toSorted((one, other) => one - other)[values.length >> 1] ?? 0;

const folder = mkdtempSync(join(tmpdir(), 'tidemark-bench-'));
const measured: { readonly journal: Rates; readonly bare: Rates }[] = [];
try {
  // The first round warms the compiler up and is not counted.
  for (let round = 0; round <= rounds; round += 1) {
    const ofBare = await measure(await bare(join(folder, `bare-${round}.db`)), `round ${round}`);
    const ofJournal = await measure(journal(join(folder, `journal-${round}.db`)), `round ${round}`);
    if (round > 0) measured.push({ journal: ofJournal, bare: ofBare });
  }
} finally {
  rmSync(folder, { recursive: true, force: true });
}

for (const way of ['grouped', 'single'] as const) {
  const ratios = measured.map((round) => round.journal[way] / round.bare[way]);
  const rate = (of: 'journal' | 'bare'): string =>
    Math.round(median(measured.map((round) => round[of][way]))).toString();
  console.log(
    `${way === 'grouped' ? `${groupSize} in one commit` : 'one a commit    '}: journal ${rate('journal')}/s, bare ${rate('bare')}/s, ` +
      `ratio ${median(ratios).toFixed(2)} (${Math.min(...ratios).toFixed(2)} to ${Math.max(...ratios).toFixed(2)}, ${rounds} rounds)`,
  );
}
