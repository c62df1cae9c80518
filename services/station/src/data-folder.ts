import { mkdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { Instant } from '@tidemark/kernel';
import { SqliteJournal } from '@tidemark/journal-sqlite';
import type { Configuration } from './configuration.ts';

/** The station's own files. */
export interface StationData {
  readonly folder: string;
  readonly journal: SqliteJournal;
  readonly snapshot_file: string;
}

const journalFile = 'journal.sqlite';
const snapshotFile = 'twins.snapshot';

/**
 * Opens the journal of the site. What is invented and what is real never share a folder: `station` below the data folder
 * is for real sites and is only ever added to; `demo` is for the demo site and begins empty with every start, so that
 * its stories are told from their beginning.
 */
export async function openData({ data_folder, site }: Configuration, clock: () => Instant): Promise<StationData> {
  const folder = join(data_folder, site.kind === 'real' ? 'station' : 'demo');
  await mkdir(folder, { recursive: true, mode: 0o700 });
  const path = join(folder, journalFile);
  const open = (): SqliteJournal => SqliteJournal.open({ path, clock, writer: 'own-thread' });
  const snapshot_file = join(folder, snapshotFile);
  if (site.kind === 'real') return { folder, journal: open(), snapshot_file };
  // When it can be opened, no other demo is writing it. Only files of our own making are removed, each by its name.
  await SqliteJournal.open({ path, clock }).close();
  for (const name of [journalFile, `${journalFile}-wal`, `${journalFile}-shm`, snapshotFile])
    await rm(join(folder, name), { force: true });
  return { folder, journal: open(), snapshot_file };
}
