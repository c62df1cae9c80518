import { instant } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import { parseScenario, signalDifferences } from '../src/index.ts';
import type { HeardSignal, Scenario } from '../src/index.ts';

function expecting(...signals: readonly string[]): Scenario {
  const text = [
    'claim: A plant is played',
    'riser: deluge-1.riser.yaml',
    'begin: 2026-03-02T08:00:00Z',
    'given: { plant: standby }',
    'until: 20m',
    'expect:',
    '  signals:',
    ...signals.map((line) => `    - ${line}`),
    '  findings: []',
    '  ends: in-service',
  ].join('\n');
  const scenario = parseScenario(text, 'story.yaml');
  if (!scenario.ok) throw new Error(JSON.stringify(scenario.failure));
  return scenario.value;
}

const heard = (signal: HeardSignal['signal'], state: HeardSignal['state'], at_s: number, point = 3): HeardSignal => ({
  signal,
  state,
  point,
  receivedAt: instant(Date.parse('2026-03-02T08:00:00Z') + at_s * 1_000),
});

describe('expected signals', () => {
  const scenario = expecting(
    '{ active: waterflow, at: [1m, 1m 2s], point: 3 }',
    '{ restored: waterflow, at: 2m }',
    '{ never: supply-valve }',
  );

  it('are met by signals within their stretches; what is not named is free', () => {
    const told = [
      heard('heat', 'active', 5),
      heard('waterflow', 'active', 61.5),
      heard('waterflow', 'restored', 120.8),
    ];

    expect(signalDifferences(scenario, told)).toEqual([]);
  });

  it('are missing when they come too late, too early, from another point or not at all', () => {
    expect(
      signalDifferences(scenario, [heard('waterflow', 'active', 62.1), heard('waterflow', 'restored', 118.9)]),
    ).toEqual([
      'waterflow active (point 3) is missing: expected between 1m 0s and 1m 2s',
      'waterflow restored is missing: expected between 1m 59s and 2m 1s',
      'waterflow active (point 3) is not expected: at 1m 2.1s',
      'waterflow restored (point 3) is not expected: at 1m 58.9s',
    ]);
    expect(
      signalDifferences(scenario, [heard('waterflow', 'active', 61, 4), heard('waterflow', 'restored', 120)]),
    ).toEqual([
      'waterflow active (point 3) is missing: expected between 1m 0s and 1m 2s',
      'waterflow active (point 4) is not expected: at 1m 1s',
    ]);
  });

  it('are complete for what is named, and what must never come has not come', () => {
    const told = [
      heard('waterflow', 'active', 60),
      heard('waterflow', 'active', 61),
      heard('waterflow', 'restored', 120),
    ];

    expect(signalDifferences(scenario, [...told, heard('supply-valve', 'restored', 130, 4)])).toEqual([
      'waterflow active (point 3) is not expected: at 1m 1s',
      'supply-valve restored (point 4) is not expected: at 2m 10s',
    ]);
  });
});
