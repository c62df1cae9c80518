import type { FileHandle } from 'node:fs/promises';
import { open } from 'node:fs/promises';
import { cannotRead, CommandFailed } from './command-failed.ts';

/** A log is read twice, first to put its lines in order; so it must be a file that can be. */
export async function openLog(path: string): Promise<FileHandle> {
  let file: FileHandle;
  try {
    file = await open(path, 'r');
  } catch (error) {
    throw cannotRead(path, error);
  }
  const stat = await file.stat();
  if (stat.isFile()) return file;
  await file.close();
  throw new CommandFailed(`cannot read ${path}: expected a file (a log is read twice, so a pipe will not do)`);
}
