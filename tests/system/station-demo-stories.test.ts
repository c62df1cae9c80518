import { fileURLToPath } from 'node:url';
import { signalDifferences, storyDifferences } from '@tidemark/scenario';
import { readDemoSite } from '@tidemark/station';
import { describe, expect, it } from 'vitest';
import { plantStories, toldByPlant } from '../support/plant-stories.ts';

const stories = plantStories(fileURLToPath(new URL('../../scenarios/demo', import.meta.url)));

describe('the stories of the demo site', () => {
  it.each(stories)('$scenario.claim', (story) => {
    const { signals, told } = toldByPlant(story);

    expect([...signalDifferences(story.scenario, signals), ...storyDifferences(story.scenario, told)]).toEqual([]);
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

  it('are played on plants: what the panels say is the same each time, and comes in order', async () => {
    const [one, other] = [await readDemoSite(), await readDemoSite()];

    expect(one.stories).toEqual(other.stories);
    for (const { lines, length_ms } of one.stories) {
      const moments = lines.map(({ after_ms }) => after_ms);
      expect(moments.length).toBeGreaterThan(0);
      expect(moments).toEqual(moments.toSorted((a, b) => a - b));
      expect(Math.max(...moments)).toBeLessThanOrEqual(length_ms);
    }
  });
});
