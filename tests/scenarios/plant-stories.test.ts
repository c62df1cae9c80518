import { fileURLToPath } from 'node:url';
import { signalDifferences, storyDifferences } from '@tidemark/scenario';
import { figuresOf, injections } from '@tidemark/simulator';
import { describe, expect, it } from 'vitest';
import { examplePlantStory, plantStories, toldByPlant } from '../support/plant-stories.ts';

const stories = plantStories();

describe('the stories of a plant, played and heard by replay', () => {
  it.each(stories)('$scenario.claim', (story) => {
    const { signals, told } = toldByPlant(story);

    expect([...signalDifferences(story.scenario, signals), ...storyDifferences(story.scenario, told)]).toEqual([]);
  });
});

describe('the stories of a plant, with those of the demo', () => {
  it('inject every cause that is no mistake of people, and send crews that make some', () => {
    const demo = plantStories(fileURLToPath(new URL('../../scenarios/demo', import.meta.url)));
    const told = [...stories, ...demo].map(({ scenario }) => scenario.staged);
    const injected = new Set(told.flatMap(({ faults }) => faults.map(({ cause }) => cause)));
    const { profile } = examplePlantStory();
    const all = injections(figuresOf(profile), profile).filter(({ where }) => where !== 'crew');

    expect(all.filter(({ cause }) => !injected.has(cause))).toEqual([]);
    expect(told.flatMap(({ crews }) => crews.flatMap(({ mistakes }) => mistakes)).length).toBeGreaterThan(4);
  });
});

describe('the files of the stories of a plant', () => {
  it('are described by an example that is itself a story', () => {
    const { signals, told } = toldByPlant(examplePlantStory());
    const { scenario } = examplePlantStory();

    expect([...signalDifferences(scenario, signals), ...storyDifferences(scenario, told)]).toEqual([]);
  });

  it.each(stories)('$name is named after its claim', ({ name, scenario }) => {
    const asName = scenario.claim
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-|-$/g, '');

    expect(name).toBe(asName);
  });
});
