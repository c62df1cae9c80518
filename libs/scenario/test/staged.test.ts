import { causeIds } from '@tidemark/words';
import { describe, expect, it } from 'vitest';
import { catalogueRows, parseScenario } from '../src/index.ts';
import type { StagedScenario } from '../src/index.ts';
import { mistakesIn } from './story.ts';

/** A short story of a plant; lines of `given`, and what else is replaced. */
const staged = (given: readonly string[], until = '20m', signals: readonly string[] = []): string =>
  [
    'claim: A plant is played',
    'riser: deluge-1.riser.yaml',
    'given:',
    ...given.map((line) => `  ${line}`),
    `until: ${until}`,
    'expect:',
    ...(signals.length === 0 ? [] : ['  signals:', ...signals.map((line) => `    - ${line}`)]),
    '  findings: []',
    '  ends: in-service',
    '',
  ].join('\n');

function read(text: string): StagedScenario {
  const scenario = parseScenario(text, 'story.yaml');
  if (!scenario.ok || !('staged' in scenario.value)) throw new Error(JSON.stringify(scenario));
  return scenario.value;
}

const steps = (...lines: readonly string[]): readonly string[] => [
  'plant: standby',
  'steps:',
  ...lines.map((line) => `  - ${line}`),
];

describe('a story of a plant', () => {
  it('fills in what it does not say', () => {
    expect(read(staged(['plant: standby'])).staged).toEqual({
      plant: { seed: 1, valves: {} },
      panel: { crossZoned: false },
      link: { name: 'panel-1', delay: 200, spread: 0, sequence: true },
      faults: [],
      steps: [],
      crews: [],
    });
  });

  it('says where valves stand at the beginning', () => {
    const { plant } = read(
      staged(['plant: { seed: 7, valves: { prime: shut, supply: 30%, alarm-line: open } }']),
    ).staged;

    expect(plant).toEqual({ seed: 7, valves: { prime: 0, supply: 0.3, 'alarm-line': 1 } });
  });

  it('has a step at a time, so long after the one above, or once something is so', () => {
    const { staged: given } = read(
      staged(
        steps(
          '{ at: 10m, operate: manual-pull }',
          '{ at: +3s, press: silence }',
          '{ when: waterflow restored, wait: 30s, atMost: 5m, turn: system-drain, to: shut }',
          '{ when: nozzles-dry, press: reset }',
          '{ when: clapper-seated, switchOn: test-mode }',
        ),
      ),
    );

    expect(given.steps.map(({ due }) => due)).toEqual([
      { at: { from: 'begin', ms: 600_000 } },
      { at: { from: 'before', ms: 3_000 } },
      { when: { signal: 'waterflow', shows: 'restored' }, wait_ms: 30_000, atMost_ms: 300_000 },
      { when: { sight: 'nozzles-dry' }, wait_ms: 0, atMost_ms: undefined },
      { when: { milestone: 'clapper-seated' }, wait_ms: 0, atMost_ms: undefined },
    ]);
  });

  it('has faults by cause, row, size and length', () => {
    const { faults } = read(
      staged([
        'plant: standby',
        'faults:',
        '  - { at: 0s, cause: supply-partly-shut, row: S2, size: 0.3, lasts: 10m }',
      ]),
    ).staged;

    expect(faults).toMatchObject([
      { cause: 'supply-partly-shut', row: 'S2', size: 0.3, lasts: 600_000, due: { at: { from: 'begin', ms: 0 } } },
    ]);
  });

  it('knows a row of the fault catalogue for every cause but a step that nobody did', () => {
    const without = causeIds.filter((cause) => catalogueRows[cause].length === 0);

    expect(without).toEqual(['step-skipped']);
  });
});

describe('a mistake in a story of a plant', () => {
  it.each([
    ['a step without a time', '{ press: reset }', /^story\.yaml:6: given\.steps\.0: expected either "at" or "when"$/],
    ['a step with two times', '{ at: 1m, when: nozzles-dry, press: reset }', /0: expected either "at" or "when"$/],
    [
      'a wait beside a time',
      '{ at: 1m, wait: 3s, press: reset }',
      /0: expected "wait" and "atMost" beside "when" only$/,
    ],
    ['a step without a verb', '{ at: 1m }', /^story\.yaml:6: given\.steps\.0: expected a step with exactly one of/],
    [
      'an unknown valve',
      '{ at: 1m, turn: suply, to: shut }',
      /^story\.yaml:6: given\.steps\.0\.turn: expected a valve/,
    ],
    ['an opening beyond the whole', '{ at: 1m, turn: supply, to: 130% }', /0\.to: expected "open", "shut" or a share/],
    [
      'something that cannot be seen',
      '{ when: nozzles-wet, press: reset }',
      /0\.when: expected a signal and its state/,
    ],
    ['a signal without its state', '{ when: waterflow, press: reset }', /0\.when: expected a signal and its state/],
    ['a device that initiates nothing', '{ at: 1m, operate: waterflow }', /0\.operate: expected an initiating device/],
    [
      'an unknown key',
      '{ at: 1m, press: reset, by: hand }',
      /^story\.yaml:6: given\.steps\.0\.by: expected no such key$/,
    ],
  ])('names file, line, key and what was expected: %s', (_what, step, mistake) => {
    expect(mistakesIn(staged(steps(step)))).toEqual([expect.stringMatching(mistake)]);
  });

  it('is a step before one above it', () => {
    expect(mistakesIn(staged(steps('{ at: 2m, press: silence }', '{ at: 1m, press: reset }')))).toEqual([
      'story.yaml:7: given.steps.1.at: expected a time not before that of a step above',
    ]);
  });

  it('is a fault of a wrong cause or row, or counted from nothing', () => {
    const faults = (line: string): string => staged(['plant: standby', 'faults:', `  - ${line}`]);

    expect(mistakesIn(faults('{ at: 0s, cause: supply-shut }'))).toEqual([
      expect.stringMatching(
        /^story\.yaml:6: given\.faults\.0\.cause: expected the id of a cause, one of supply-shut-unseen/,
      ),
    ]);
    expect(mistakesIn(faults('{ at: 0s, cause: supply-shut-unseen, row: S2 }'))).toEqual([
      'story.yaml:6: given.faults.0.row: expected a row of supply-shut-unseen: S1',
    ]);
    expect(mistakesIn(faults('{ at: +3s, cause: supply-shut-unseen }'))).toEqual([
      'story.yaml:6: given.faults.0.at: expected a time from the beginning, or "when"',
    ]);
  });

  it('is an end counted from a last step that only the story can tell', () => {
    expect(mistakesIn(staged(['plant: standby'], '+5m'))).toEqual([
      expect.stringMatching(/^story\.yaml:5: until: expected a time from the beginning/),
    ]);
  });

  it('is an expected signal without its time', () => {
    expect(mistakesIn(staged(['plant: standby'], '20m', ['{ active: waterflow }']))).toEqual([
      expect.stringMatching(/^story\.yaml:8: expect\.signals\.0\.at: expected a time/),
    ]);
  });
});

describe('a crew of a story', () => {
  const crews = (...lines: readonly string[]): string =>
    staged(['plant: standby', 'crews:', ...lines.map((line) => `  - ${line}`)]);

  it('does a procedure from a moment on, right unless it says otherwise', () => {
    expect(read(crews('{ procedure: restoration, at: 12m }')).staged.crews).toEqual([
      { procedure: 'restoration', at: 720_000, forSeconds: 3_600, mistakes: [] },
    ]);
  });

  it('makes every kind of mistake', () => {
    const mistakes = [
      '{ skip: reset }',
      '{ swap: reset, with: silence }',
      '{ halfDo: open-supply-valve-slowly, part: 40% }',
      '{ tooEarly: reset, before: restore-device }',
      '{ tooEarly: reset }',
      '{ tooLate: open-system-drain, by: 5m }',
      '{ leaveBefore: last-reset }',
    ];

    expect(
      read(crews(`{ procedure: restoration, at: 12m, points: [1], mistakes: [${mistakes.join(', ')}] }`)).staged.crews,
    ).toEqual([
      {
        procedure: 'restoration',
        at: 720_000,
        points: [1],
        forSeconds: 3_600,
        mistakes: [
          { skip: 'reset' },
          { swap: 'reset', with: 'silence' },
          { halfDo: 'open-supply-valve-slowly', part: 0.4 },
          { tooEarly: 'reset', before: 'restore-device' },
          { tooEarly: 'reset' },
          { tooLate: 'open-system-drain', by: 300_000 },
          { leaveBefore: 'last-reset' },
        ],
      },
    ]);
  });

  it.each([
    ['{ procedure: rescue, at: 12m }', 'expected a procedure, one of restoration'],
    ['{ procedure: restoration, at: 12m, mistakes: [{ forget: reset }] }', 'expected a mistake with exactly one'],
    ['{ procedure: restoration, at: 12m, mistakes: [{ halfDo: reset, part: half }] }', 'a share of the way'],
  ])('is refused with what was expected (%s)', (line, expected) => {
    expect(JSON.stringify(mistakesIn(crews(line)))).toContain(expected);
  });
});
