import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Replay } from '@tidemark/cli';
import { instant, ok } from '@tidemark/kernel';
import { describeMistake, parseProfile } from '@tidemark/riser';
import type { Profile } from '@tidemark/riser';
import { parseScenario } from '@tidemark/scenario';
import type { HeardSignal, StagedScenario, ToldStory } from '@tidemark/scenario';
import { runStory, stagedStory, storyLine } from '@tidemark/simulator';
import type { PlayedStory } from '@tidemark/simulator';
import { toldFindings } from './told-by-replay.ts';

/** A story of a plant with its riser, read. */
export interface PlantStory {
  /** The file's name without `.yaml`. */
  readonly name: string;
  readonly scenario: StagedScenario;
  readonly profile: Profile;
}

const folder = fileURLToPath(new URL('../../scenarios/plant', import.meta.url));

/** Every story of `scenarios/plant`; a file that cannot be read fails with its mistakes. */
export const plantStories = (from: string = folder): readonly PlantStory[] =>
  readdirSync(from)
    .filter((file) => file.endsWith('.yaml') && !file.endsWith('.riser.yaml'))
    .sort()
    .map((file) => readPlantStory(join(from, file)));

/** The example that `scenarios/README.md` shows under "Stories of a plant". */
export function examplePlantStory(): PlantStory {
  const path = join(folder, '../README.md');
  const [, example] = /^## Stories of a plant[^]*?^```yaml\n([^]*?)^```/m.exec(readFileSync(path, 'utf8')) ?? [];
  return plantStoryOf(example ?? '', path);
}

/** A story of a plant from its text, as if it stood in `scenarios`. */
export const plantStoryFrom = (text: string, file: string): PlantStory => plantStoryOf(text, join(folder, '..', file));

/** A story of a plant, from its file. */
export const readPlantStory = (path: string): PlantStory => plantStoryOf(readFileSync(path, 'utf8'), path);

function plantStoryOf(text: string, path: string): PlantStory {
  const scenario = parseScenario(text, path);
  if (!scenario.ok) throw new Error(scenario.failure.map(describeMistake).join('\n'));
  if (!('staged' in scenario.value)) throw new Error(`${path}: expected a story of a plant`);
  const { riser } = scenario.value;
  const profile = 'profile' in riser ? riser.profile : readProfile(resolve(dirname(path), riser.file));
  const name = path.replace(/^.*\//, '').replace(/\.yaml$/, '');
  return { name, scenario: scenario.value, profile };
}

function readProfile(path: string): Profile {
  const profile = parseProfile(readFileSync(path, 'utf8'), path);
  if (!profile.ok) throw new Error(profile.failure.map(describeMistake).join('\n'));
  return profile.value;
}

/** A story of a plant as it was played: what happened, what was heard, and what replay made of it. */
export interface ToldByPlant {
  readonly played: PlayedStory;
  readonly signals: readonly HeardSignal[];
  readonly told: ToldStory;
}

/** Plays a story of a plant to its end and lets replay hear it. */
export function toldByPlant({ scenario, profile, name }: PlantStory): ToldByPlant {
  const story = stagedStory(scenario, profile);
  if (!story.ok)
    throw new Error(story.failure.map(({ path, expected }) => `${name}: ${path.join('.')}: ${expected}`).join('\n'));
  const played = runStory(story.value);
  return {
    played,
    signals: heardSignals(played, scenario),
    told: replayed(played, { scenario, profile }),
  };
}

const heardSignals = ({ heard }: PlayedStory, { begin }: StagedScenario): readonly HeardSignal[] =>
  heard.flatMap((each): readonly HeardSignal[] => {
    if (each.topic !== 'signal') return [];
    const { data } = each.event;
    const receivedAt = instant(begin + 1_000 * each.received_s);
    return [{ signal: data.signal, state: 'state' in data ? data.state : undefined, point: data.point, receivedAt }];
  });

function replayed({ heard, sender }: PlayedStory, { scenario, profile }: Omit<PlantStory, 'name'>): ToldStory {
  const replay = new Replay(profile);
  const news = heard.flatMap((each, index) =>
    replay.take({
      number: index + 1,
      receivedAt: instant(scenario.begin + 1_000 * each.received_s),
      text: ok(storyLine(each, sender)),
    }),
  );
  const all = [...news, ...replay.runTo(scenario.until)];
  return {
    findings: toldFindings(all.flatMap((each) => (each.kind === 'finding' ? [each.finding] : []))),
    phases: all.flatMap((each): ToldStory['phases'] => (each.kind === 'phase' ? [each] : [])),
    quarantined: all.filter(({ kind }) => kind === 'quarantine').length,
    duplicates: replay.counts.duplicates,
  };
}
