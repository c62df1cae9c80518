import { parseScenario } from '@tidemark/scenario';
import { describe, expect, it } from 'vitest';
import { figuresOf, injections, runStory, stagedStory } from '../../src/index.ts';
import type { Story } from '../../src/index.ts';
import { profileWith, shortly } from './tell.ts';

const profile = profileWith('  - { point: 8, signal: manual-pull }');

function scenarioOf(given: readonly string[]) {
  const text = [
    'claim: A plant is played',
    'riser: deluge-1.riser.yaml',
    'given:',
    ...given.map((line) => `  ${line}`),
    'until: 20m',
    'expect: { findings: [], ends: in-service }',
  ].join('\n');
  const scenario = parseScenario(text, 'story.yaml');
  if (!scenario.ok || !('staged' in scenario.value)) throw new Error(JSON.stringify(scenario));
  return scenario.value;
}

function storyIn(...given: readonly string[]): Story {
  const story = stagedStory(scenarioOf(given), profile);
  if (!story.ok) throw new Error(JSON.stringify(story.failure));
  return story.value;
}

const mistakesIn = (...given: readonly string[]) => {
  const story = stagedStory(scenarioOf(given), profile);
  return story.ok ? [] : story.failure.map(({ expected, path }) => `${path.join('.')}: ${expected}`);
};

describe('a scenario of a plant', () => {
  it('becomes a story of its riser', () => {
    const story = storyIn(
      'plant: { seed: 3, valves: { prime: shut } }',
      'link: { name: panel-2, delay: 1s, spread: 500ms, sequence: false }',
      'steps:',
      '  - { at: 1m, operate: heat }',
      '  - { at: +2s, turn: supply, to: 30%, over: 4s }',
      '  - { when: waterflow active, wait: 1s, command: test-begin, forSeconds: 60, expect: [waterflow] }',
    );

    expect(story).toMatchObject({
      length_s: 1_200,
      valves: { prime: 0 },
      link: { panel: 'panel-2', seed: 3, latency: { base_s: 1, spread_s: 0.5 }, numbered: false },
      steps: [
        [
          { due: { at_s: 60 }, deed: { act: 'device', point: 2, state: 'active' } },
          { due: { after_s: 2 }, deed: { act: 'valve', valve: 'supply', to: 0.3, over_s: 4 } },
          {
            due: { awaits: { signal: 'waterflow', said: 'active' }, wait_s: 1 },
            deed: { act: 'station', command: { command: 'test-begin', forSeconds: 60, expect: ['waterflow'] } },
          },
        ],
      ],
    });
  });

  it('is refused where it does not fit its riser, with the place of each mistake', () => {
    const mistakes = mistakesIn(
      'plant: standby',
      'faults:',
      '  - { at: 0s, cause: reset-too-early }',
      '  - { at: 0s, cause: supply-partly-shut, size: 40 }',
      '  - { at: 0s, cause: valve-stuck-shut, size: 0.5 }',
      '  - { at: 0s, cause: relief-stuck-open, row: R14, form: whistling }',
      'steps:',
      '  - { at: 1m, operate: smoke }',
      '  - { at: 1m, operate: manual-pull }',
      '  - { at: 1m, operate: manual-pull, point: 2 }',
      '  - { at: 1m, command: test-begin }',
    );

    expect(mistakes).toEqual([
      'given.steps.0: expected a signal that the riser has a point for, unlike smoke',
      'given.steps.1: expected "point": the riser has several that report manual-pull: 1, 8',
      'given.steps.2: expected a point that reports manual-pull: 1, 8',
      'given.steps.3: expected "forSeconds" with test-begin',
      'given.faults.0: expected a cause that can be injected into this riser, unlike reset-too-early',
      expect.stringMatching(/^given\.faults\.1: expected "size" between /),
      'given.faults.2: expected no "size": it is there or not',
      expect.stringMatching(/^given\.faults\.3: expected "row" and "form" of one of: R14, R14 leaking$/),
    ]);
  });
});

describe('a fault that is not of the plant', () => {
  const heard = (fault: string, ...steps: readonly string[]) =>
    shortly(
      runStory(storyIn('plant: standby', 'faults:', `  - ${fault}`, 'steps:', ...steps.map((step) => `  - ${step}`)))
        .heard,
    ).filter((word) => !/^(link|panel|periodic)/.test(word));
  const pulled = '{ at: 5m, operate: manual-pull, point: 1 }';

  it.each([
    ['{ at: 0s, cause: release-output-dead }', ['manual-pull+']],
    ['{ at: 0s, cause: initiating-device-dead }', []],
    ['{ at: 0s, cause: points-swapped }', ['manual-pull+', 'solenoid+', 'waterflow+', 'prime-pressure-low+']],
    ['{ at: 0s, cause: release-left-disabled, row: C4 }', ['release-disconnect+', 'manual-pull+']],
    ['{ at: 0s, cause: initiating-circuit-open }', ['initiating-circuit+']],
    ['{ at: 0s, cause: link-lost, row: K1, size: 600 }', []],
  ])('%s shows in what is heard', (fault, words) => {
    expect(heard(fault, pulled)).toEqual(words);
  });

  it('is over at its end', () => {
    expect(heard('{ at: 1m, cause: initiating-device-stuck, lasts: 1m }', pulled)).toContain('manual-pull-');
  });
});

describe('every injection but the mistakes of people', () => {
  const all = injections(figuresOf(profile), profile).filter(({ where }) => where !== 'crew');

  it.each(all.map((each) => [`${each.cause} ${each.row} ${each.form}`, each] as const))(
    'can be played at its least and greatest size: %s',
    (_name, { apply, cause, row, size }) => {
      for (const given of size === undefined ? [1] : [size.least, size.most]) {
        const base = storyIn('plant: standby', 'steps:', `  - { at: 1m, operate: manual-pull, point: 1 }`);
        const fault = { cause, row, size: given, injected: apply(given), due: { at_s: 10 }, lasts_s: 70 };
        const { truth } = runStory({ ...base, length_s: 90, faults: [fault] });

        expect(truth.causes).toEqual([{ cause, row, size: given, from_s: 10, to_s: 80 }]);
      }
    },
  );
});
