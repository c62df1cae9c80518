import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Instant } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
import { describeMistake } from '@tidemark/riser';
import { parseScenario, toldLines } from '@tidemark/scenario';
import { defaultPrefix, readReplayLine } from '@tidemark/signals';
import type { Link, ReplayEntry, RiserKey, Signal } from '@tidemark/signals';
import type { ProfileDirectory } from '@tidemark/twin';
import { readProfiles } from '@tidemark/twin';
import { StartRefused } from '../start-refused.ts';

/** One thing a panel of the demo says, so long after the story's beginning. */
export type DemoLine = { readonly after_ms: number } & (
  { readonly type: 'signal'; readonly signal: Signal } | ({ readonly type: 'link' } & Link)
);

/** What happens at one riser of the demo site. */
export interface DemoStory {
  readonly key: RiserKey;
  readonly begin: Instant;
  readonly lines: readonly DemoLine[];
  readonly length_ms: number;
  /** Told again and again; only where it leaves the riser as it found it. */
  readonly repeats: boolean;
}

/** The demo site: its profiles, and a story for each. */
export interface DemoSite {
  readonly directory: ProfileDirectory;
  readonly stories: readonly DemoStory[];
}

/** Profiles and stories of the demo site; each story is a scenario that the tests hold to what it expects. */
const demo_folder = fileURLToPath(new URL('../../../../scenarios/demo', import.meta.url));

const profileEnding = '.riser.yaml';

/** Reads the demo site. It comes with the station, so a mistake in it is refused with every line of it. */
export async function readDemoSite(): Promise<DemoSite> {
  const { directory, mistakes } = await readProfiles(demo_folder);
  if (mistakes.length > 0) throw new StartRefused(mistakes.map(describeMistake));
  const names = (await readdir(demo_folder)).filter((name) => name.endsWith('.yaml') && !name.endsWith(profileEnding));
  const stories = await Promise.all(names.sort().map((name) => readStory(name, directory)));
  return { directory, stories };
}

async function readStory(name: string, directory: ProfileDirectory): Promise<DemoStory> {
  const parsed = parseScenario(await readFile(join(demo_folder, name), 'utf8'), name);
  if (!parsed.ok) throw new StartRefused(parsed.failure.map(describeMistake));
  if (!('heard' in parsed.value)) throw new StartRefused([`${name}: given: expected a story told by what was heard`]);
  const { riser, begin, until, expect } = parsed.value;
  const file = 'file' in riser ? riser.file.replace(profileEnding, '') : '';
  const key = [...directory.profiles.values()].find((profile) => `${profile.account}-${profile.riser}` === file);
  if (key === undefined) throw new StartRefused([`${name}: riser: expected a profile beside it, by account and riser`]);
  const options = { key, prefix: defaultPrefix, installed: directory.installed };
  const lines = toldLines(parsed.value, key).map(({ json, receivedAt }) => {
    const read = readReplayLine(JSON.stringify(json), options);
    if (!read.ok) throw new StartRefused([`${name}: ${read.failure.detail}`]);
    return lineOf(read.value, receivedAt - begin);
  });
  return { key, begin, lines, length_ms: until - begin, repeats: expect.ends === 'in-service' };
}

function lineOf(entry: ReplayEntry, after_ms: number): DemoLine {
  invariant(entry.type !== 'command', 'what a panel of the demo says is no command: those come from the console');
  return { ...entry, after_ms };
}
