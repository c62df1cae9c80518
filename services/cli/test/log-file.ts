import { mkdtemp, open, rm, writeFile } from 'node:fs/promises';
import type { FileHandle } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Runs a test on a real file that holds these bytes. */
export async function withLog<Value>(
  content: string | Uint8Array,
  run: (file: FileHandle) => Promise<Value>,
): Promise<Value> {
  const folder = await mkdtemp(join(tmpdir(), 'tidemark-log-'));
  try {
    const path = join(folder, 'log.ndjson');
    await writeFile(path, content);
    const file = await open(path, 'r');
    try {
      return await run(file);
    } finally {
      await file.close();
    }
  } finally {
    await rm(folder, { recursive: true });
  }
}
