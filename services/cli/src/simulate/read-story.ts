import { readFile } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import { describeMistake, mistakeAt } from '@tidemark/riser';
import { parseScenario } from '@tidemark/scenario';
import type { Scenario } from '@tidemark/scenario';
import { stagedStory } from '@tidemark/simulator';
import type { Story } from '@tidemark/simulator';
import { cannotRead, CommandFailed } from '../command-failed.ts';
import { readProfile } from '../read-profile.ts';

/** A story of a plant, and what it claims to show. */
export interface ReadStory {
  readonly claim: string;
  readonly story: Story;
}

/** Reads a story of a plant with its riser, or fails with a line for each mistake: file, line, key, what was expected. */
export async function readStory(path: string): Promise<ReadStory> {
  const text = await textOf(path);
  const scenario = parseScenario(text, path);
  if (!scenario.ok) throw new CommandFailed(scenario.failure.map(describeMistake).join('\n'));
  if (!('staged' in scenario.value)) throw new CommandFailed(describeMistake(mistakeAt(text, path, toldByEar)));
  const { claim } = scenario.value;
  const story = stagedStory(scenario.value, await profileOf(scenario.value, path));
  if (story.ok) return { claim, story: story.value };
  const mistakes = story.failure.map((mistake) => mistakeAt(text, path, mistake));
  throw new CommandFailed(mistakes.map(describeMistake).join('\n'));
}

const toldByEar = {
  path: ['given'],
  expected: 'expected a story of a plant (`plant: standby`): this one tells what was heard',
};

async function textOf(path: string): Promise<string> {
  try {
    return await readFile(path, 'utf8');
  } catch (error) {
    throw cannotRead(path, error);
  }
}

const profileOf = async ({ riser }: Scenario, path: string): Promise<Story['profile']> =>
  'profile' in riser ? riser.profile : readProfile(resolve(dirname(path), riser.file));
