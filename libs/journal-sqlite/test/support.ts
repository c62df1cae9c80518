import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { onTestFinished } from 'vitest';
import type { Instant } from '@tidemark/kernel';
import { instant } from '@tidemark/kernel';
import type { Append, NewEvent, StreamName } from '@tidemark/journal';
import { deriveEventId, streamName } from '@tidemark/journal';

export const deluge1 = streamName('riser', 'quayside-cold-store', 'deluge-1');
export const deluge2 = streamName('riser', 'quayside-cold-store', 'deluge-2');

/** A path for a journal in a folder of its own, removed when the test ends. */
export function journalPath(): string {
  const folder = mkdtempSync(join(tmpdir(), 'tidemark-journal-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return join(folder, 'journal.db');
}

/** A clock that moves by a second with each look. */
export function tickingClock(): () => Instant {
  let now = 1_772_439_247_120;
  return () => instant((now += 1_000));
}

export const event = (name: string | number, text = ''): NewEvent => ({
  id: deriveEventId(['sqlite', String(name)]),
  type: 'waterflow-observed',
  data: { name, text },
});

export const append = (stream: StreamName, ...names: readonly (string | number)[]): Append => ({
  stream,
  events: names.map((name) => event(name)),
  expected: 'any',
});

/** Changes a journal file from outside, as someone with the file in hand would. */
export function alter(path: string, sql: string, ...values: readonly unknown[]): number {
  const database = new Database(path);
  database.pragma('foreign_keys = OFF');
  const { changes } = database.prepare(sql).run(...values);
  database.close();
  return changes;
}

export async function collect<Value>(values: AsyncIterable<Value>): Promise<readonly Value[]> {
  const collected: Value[] = [];
  for await (const value of values) collected.push(value);
  return collected;
}
