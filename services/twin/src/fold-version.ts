import { createHash } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** What the fold of a riser is made of. */
const packages = ['words', 'kernel', 'signals', 'hydraulics', 'alerting', 'riser', 'reasoning'];

/**
 * Names the fold that this process runs, for its snapshots: a digest of its code and of the engine that wrote the bytes.
 * A number kept by hand would one day be forgotten, and a state of the old rules be shown as one of the new.
 */
export async function foldVersion(): Promise<string> {
  const digest = createHash('sha256').update(process.versions.v8);
  for (const name of packages) {
    const folder = dirname(fileURLToPath(import.meta.resolve(`@tidemark/${name}`)));
    const files = (await readdir(folder, { recursive: true })).filter((file) => /\.[jt]s$/.test(file)).sort();
    for (const file of files) digest.update(`${name}/${file}\0`).update(await readFile(join(folder, file)));
  }
  return digest.digest('hex');
}
