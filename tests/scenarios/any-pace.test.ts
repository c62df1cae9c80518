import { fc, test } from '@fast-check/vitest';
import { storyDifferences } from '@tidemark/scenario';
import { describe, expect } from 'vitest';
import { plantStoryFrom, toldByPlant } from '../support/plant-stories.ts';

/** A procedure done in the right order, at the pace that a seed gives, over a line of some latency. */
const procedures = ['restoration', 'alarm-test', 'main-drain-test', 'trip-test', 'prime-valve-maintenance'] as const;
const risers = ['quayside-deluge-1', 'tannery-lane-deluge-3'] as const;

const storyText = fc
  .record({
    procedure: fc.constantFrom(...procedures),
    riser: fc.constantFrom(...risers),
    seed: fc.nat(0xffff_ffff),
    begins_min: fc.integer({ min: 11, max: 40 }),
    delay_ms: fc.integer({ min: 20, max: 4_000 }),
    spread_ms: fc.integer({ min: 0, max: 4_000 }),
  })
  .map(({ procedure, riser, seed, begins_min, delay_ms, spread_ms }) =>
    [
      `claim: A crew does its ${procedure}`,
      `riser: risers/${riser}.riser.yaml`,
      'given:',
      `  plant: { seed: ${seed} }`,
      `  link: { delay: ${delay_ms}ms, spread: ${spread_ms}ms }`,
      `  steps: ${procedure === 'restoration' ? '[{ at: 10m, operate: manual-pull }]' : '[]'}`,
      `  crews: [{ procedure: ${procedure}, at: ${begins_min}m, forSeconds: 14400 }]`,
      'until: 5h',
      'expect: { findings: [], ends: in-service }',
      '',
    ].join('\n'),
  );

describe('a trip, a restoration or a test done in the right order', () => {
  // CONTRACT 5.3, last sentence: at any human pace within the limits it raises none of the findings.
  test.prop([storyText], { numRuns: 24, seed: 20_260_302 })('raises nothing at any human pace', (text) => {
    const story = plantStoryFrom(text, 'any-pace.yaml');

    expect(storyDifferences(story.scenario, toldByPlant(story).told)).toEqual([]);
  });
});
