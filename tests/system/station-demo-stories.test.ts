import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describeMistake, parseProfile } from '@tidemark/riser';
import { parseScenario, storyDifferences } from '@tidemark/scenario';
import { readDemoSite } from '@tidemark/station';
import { describe, expect, it } from 'vitest';
import type { Story } from '../support/stories.ts';
import { toldByReplay } from '../support/told-by-replay.ts';

const folder = fileURLToPath(new URL('../../scenarios/demo', import.meta.url));

const read = (name: string): string => readFileSync(join(folder, name), 'utf8');

function storyIn(file: string): Story {
  const scenario = parseScenario(read(file), file);
  if (!scenario.ok) throw new Error(scenario.failure.map(describeMistake).join('\n'));
  if (!('heard' in scenario.value)) throw new Error(`${file}: expected a story told by what was heard`);
  const { riser } = scenario.value;
  if (!('file' in riser)) throw new Error(`${file}: the riser of a demo story stands beside it`);
  const profile = parseProfile(read(riser.file), riser.file);
  if (!profile.ok) throw new Error(profile.failure.map(describeMistake).join('\n'));
  return { name: file.replace(/\.yaml$/, ''), scenario: scenario.value, profile: profile.value };
}

const stories = readdirSync(folder)
  .filter((file) => file.endsWith('.yaml') && !file.endsWith('.riser.yaml'))
  .map(storyIn);

describe('the stories of the demo site', () => {
  it.each(stories)('$scenario.claim', (story) => {
    expect(storyDifferences(story.scenario, toldByReplay(story))).toEqual([]);
  });

  it('has one for each riser, told again only where it leaves the riser in service', async () => {
    const { directory, stories: told } = await readDemoSite();

    expect(told.map(({ key }) => `${key.account}/${key.riser}`).toSorted()).toEqual(
      [...directory.profiles.keys()].toSorted(),
    );
    expect(told.filter(({ repeats }) => !repeats).map(({ key }) => `${key.account}/${key.riser}`)).toEqual([
      'saltmarsh-substation/deluge-1',
    ]);
  });
});
