import { instant, parseInstant } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import { storyDifferences } from '../src/index.ts';
import type { ToldFinding, ToldStory } from '../src/index.ts';
import { readStory } from './story.ts';

const begin = parseInstant('2026-03-02T08:00:00Z');
const at = (seconds: number) => instant((begin.ok ? begin.value : 0) + seconds * 1_000);

const scenario = readStory({
  heard: ['{ at: 0s, active: waterflow }'],
  expect: [
    'findings:',
    '  - { code: flow-without-release, raised: [9s, 12s], cleared: 3m, severity: critical, causes: [seat-weeping] }',
    'phases: [unknown, flowing]',
    'ends: flowing',
  ],
});

const finding: ToldFinding = {
  code: 'flow-without-release',
  severity: 'critical',
  raisedAt: at(10),
  clearedAt: at(180.4),
  explanation: 'Water is reported.',
  causes: ['alarm-test-valve-leaking', 'seat-weeping'],
};

const told: ToldStory = {
  findings: [finding],
  phases: [
    { phase: 'unknown', at: undefined },
    { phase: 'flowing', at: at(0) },
  ],
  quarantined: 0,
  duplicates: 0,
};

describe('the differences between a story and what came of it', () => {
  it('are none when everything is as expected', () => {
    expect(storyDifferences(scenario, told)).toEqual([]);
  });

  it.each<[string, Partial<ToldStory>, string]>([
    [
      'a finding that is missing',
      { findings: [] },
      'flow-without-release is missing: expected to be raised between 9s and 12s',
    ],
    [
      'a finding that is not listed',
      { findings: [finding, { ...finding, code: 'chattering', raisedAt: at(75) }] },
      'chattering is not expected: raised at 1m 15s: Water is reported.',
    ],
    [
      'a finding that is raised twice',
      { findings: [finding, { ...finding, raisedAt: at(200) }] },
      'flow-without-release is not expected: raised at 3m 20s: Water is reported.',
    ],
    [
      'a finding that comes too late',
      { findings: [{ ...finding, raisedAt: at(12.001) }] },
      'flow-without-release raised at 12.001s: expected between 9s and 12s',
    ],
    [
      'a finding that stays',
      { findings: [{ ...finding, clearedAt: undefined }] },
      'flow-without-release is never cleared: expected between 2m 59s and 3m 1s',
    ],
    [
      'another severity',
      { findings: [{ ...finding, severity: 'high' }] },
      'flow-without-release is high: expected critical',
    ],
    [
      'a cause that is not named',
      { findings: [{ ...finding, causes: ['drip-plugged'] }] },
      'flow-without-release does not name seat-weeping among its causes: drip-plugged',
    ],
    [
      'another order of phases',
      { phases: [...told.phases, { phase: 'drained', at: at(180) }] },
      'phases: unknown, flowing (0s), drained (3m 0s); expected unknown, flowing',
    ],
    ['a line in quarantine', { quarantined: 1 }, 'quarantined: 1, expected 0'],
    ['a duplicate', { duplicates: 2 }, 'duplicates: 2, expected 0'],
  ])('name %s', (_what, change, difference) => {
    expect(storyDifferences(scenario, { ...told, ...change })).toEqual([difference]);
  });

  it('hold a finding that is cleared against one expected to stay, and not where the story leaves it open', () => {
    const expecting = (cleared: string) =>
      readStory({
        heard: ['{ at: 0s, active: waterflow }'],
        expect: [`findings: [{ code: flow-without-release, raised: 10s, cleared: ${cleared} }]`, 'ends: flowing'],
      });

    expect(storyDifferences(expecting('never'), told)).toEqual([
      'flow-without-release cleared at 3m 0.4s: expected never',
    ]);
    expect(storyDifferences(expecting('whenever'), told)).toEqual([]);
  });
});
