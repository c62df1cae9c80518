import { storyDifferences } from '@tidemark/scenario';
import { describe, expect, it } from 'vitest';
import { exampleStory, stories } from '../support/stories.ts';
import { toldByReplay } from '../support/told-by-replay.ts';

describe('the recorded stories, through replay', () => {
  it.each(stories())('$scenario.claim', (story) => {
    expect(storyDifferences(story.scenario, toldByReplay(story))).toEqual([]);
  });
});

describe('the files of the recorded stories', () => {
  it('are described by an example that is itself a story', () => {
    expect(storyDifferences(exampleStory().scenario, toldByReplay(exampleStory()))).toEqual([]);
  });

  it.each(stories())('$name is named after its claim', ({ name, scenario }) => {
    const asName = scenario.claim
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-|-$/g, '');

    expect(name).toBe(asName);
  });
});
