import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Instant } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
import { describeMistake } from '@tidemark/riser';
import type { Profile } from '@tidemark/riser';
import { parseScenario } from '@tidemark/scenario';
import type { Scenario } from '@tidemark/scenario';
import { defaultPrefix, readReplayLine } from '@tidemark/signals';
import type { Link, ReplayEntry, RiserKey, Signal } from '@tidemark/signals';
import { runStory, stagedStory, storyLine } from '@tidemark/simulator';
import type { Story } from '@tidemark/simulator';
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

/** Profiles and stories of the demo site; each story is played on a plant, and the tests hold it to what it expects. */
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
  const scenario = parsed.value;
  if (!('staged' in scenario)) throw new StartRefused([`${name}: given: expected a story of a plant`]);
  const profile = profileBeside(scenario, directory);
  if (profile === undefined)
    throw new StartRefused([`${name}: riser: expected a profile beside it, by account and riser`]);
  const story = stagedStory(scenario, profile);
  if (!story.ok)
    throw new StartRefused(story.failure.map(({ path, expected }) => `${name}: ${path.join('.')}: ${expected}`));
  const { account, riser } = profile;
  return {
    key: { account, riser },
    begin: scenario.begin,
    lines: playedLines(story.value, directory),
    length_ms: scenario.until - scenario.begin,
    repeats: scenario.expect.ends === 'in-service',
  };
}

function profileBeside({ riser }: Scenario, { profiles }: ProfileDirectory): Profile | undefined {
  const file = 'file' in riser ? riser.file.replace(profileEnding, '') : '';
  return [...profiles.values()].find((profile) => `${profile.account}-${profile.riser}` === file);
}

/** What the panel says while the story is played on its plant. The panel of the demo announces itself. */
function playedLines(story: Story, { installed }: ProfileDirectory): readonly DemoLine[] {
  const { heard, sender } = runStory({ ...story, link: { ...story.link, announces: false } });
  const options = { key: sender.key, prefix: defaultPrefix, installed };
  return heard.map((each) => {
    const read = readReplayLine(storyLine(each, sender), options);
    invariant(read.ok, 'what the simulator says can be read');
    return lineOf(read.value, read.value.receivedAt - story.begin);
  });
}

function lineOf(entry: ReplayEntry, after_ms: number): DemoLine {
  invariant(entry.type !== 'command', 'what a panel of the demo says is no command: those come from the console');
  return { ...entry, after_ms };
}
