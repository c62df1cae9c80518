import { createHash } from 'node:crypto';
import { existsSync } from 'node:fs';
import { mkdir, readdir, readFile, rename, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { pageBuild, pages_folder, web_folder } from './page-build.ts';

const at = (path: string): string => fileURLToPath(new URL(path, import.meta.url));

/** What the page is made from: a change in any of them gives another page. */
const sources = [
  web_folder,
  at('../../../../libs/api/src'),
  at('../../../../libs/kernel/src'),
  at('../../package.json'),
  at('page-build.ts'),
];

/** Pages older than this are taken away when a new one is built; a station that still shows one was started today. */
const keptFor_ms = 7 * 86_400_000;

/**
 * The folder of the page that these sources make, built now if it is not there. Takes a second or two at the first
 * start of a bare checkout. The folder is named by the content of the sources, so no page can be stale, and several
 * processes may ask at once. A build that fails throws: no station shows a page that does not fit it.
 */
export async function ensurePage(): Promise<string> {
  const folder = join(pages_folder, await fingerprint());
  if (existsSync(folder)) return folder;
  const unfinished = `${folder}.${process.pid}`;
  await buildForPeople(unfinished);
  try {
    await rename(unfinished, folder);
  } catch (cause) {
    // Another process was quicker, with the same page; anything else is a fault.
    if (!existsSync(folder)) throw cause;
    await rm(unfinished, { recursive: true });
  }
  await takeAwayOld();
  return folder;
}

/** The bundler takes its kind of build from the process: a test that builds the page must get the one people get. */
async function buildForPeople(folder: string): Promise<void> {
  const { build } = await import('vite');
  await mkdir(pages_folder, { recursive: true });
  const before = process.env['NODE_ENV'];
  process.env['NODE_ENV'] = 'production';
  try {
    await build(await pageBuild(folder));
  } finally {
    if (before === undefined) delete process.env['NODE_ENV'];
    else process.env['NODE_ENV'] = before;
  }
}

async function fingerprint(): Promise<string> {
  const hash = createHash('sha256');
  for (const path of (await Promise.all(sources.filter(existsSync).map(filesBelow))).flat())
    hash
      .update(path)
      .update('\0')
      .update(await readFile(path));
  return hash.digest('hex').slice(0, 16);
}

async function filesBelow(path: string): Promise<readonly string[]> {
  if (!(await stat(path)).isDirectory()) return [path];
  const entries = await readdir(path, { recursive: true, withFileTypes: true });
  return entries
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name))
    .filter((each) => !/[/\\]dist[/\\]/.test(each.slice(path.length)))
    .toSorted();
}

async function takeAwayOld(): Promise<void> {
  for (const name of await readdir(pages_folder)) {
    const path = join(pages_folder, name);
    const found = await stat(path).catch(() => undefined);
    if (found !== undefined && Date.now() - found.mtimeMs > keptFor_ms)
      await rm(path, { recursive: true, force: true });
  }
}
