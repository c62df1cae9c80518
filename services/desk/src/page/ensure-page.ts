import { existsSync } from 'node:fs';
import { readdir, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { builtPage_folder, pageBuild, web_folder } from './page-build.ts';

/** What the page is made from: a change in any of them asks for a new build. */
const sources = [
  web_folder,
  fileURLToPath(new URL('../../../../libs/api/src/', import.meta.url)),
  fileURLToPath(new URL('../../package.json', import.meta.url)),
];

/**
 * The folder of the page, built now if it is missing or older than its sources. A few seconds at the first start of a
 * bare checkout, nothing afterwards. A build that fails throws: no station shows a page that does not fit it.
 */
export async function ensurePage(): Promise<string> {
  const index = join(builtPage_folder, 'index.html');
  if (existsSync(index) && (await stat(index)).mtimeMs >= (await newest_ms(sources))) return builtPage_folder;
  const { build } = await import('vite');
  await build(await pageBuild());
  return builtPage_folder;
}

async function newest_ms(paths: readonly string[]): Promise<number> {
  const times = await Promise.all(paths.filter(existsSync).map(newestBelow_ms));
  return Math.max(0, ...times);
}

async function newestBelow_ms(path: string): Promise<number> {
  const found = await stat(path);
  if (!found.isDirectory()) return found.mtimeMs;
  const names = await readdir(path, { recursive: true });
  const files = names.filter((name) => !/(^|[/\\])dist([/\\]|$)/.test(name));
  const times = await Promise.all(files.map(async (name) => (await stat(join(path, name))).mtimeMs));
  return Math.max(0, ...times);
}
