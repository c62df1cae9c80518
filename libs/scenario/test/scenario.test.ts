import { formatInstant } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import { mistakesIn, readStory, story } from './story.ts';

describe('a scenario file', () => {
  it('counts times from the beginning, or with + from the step before', () => {
    const { heard } = readStory({
      heard: [
        '{ at: 10m 30s, active: waterflow }',
        '{ at: +250ms, restored: waterflow }',
        '{ at: PT11M, performed: reset }',
      ],
    });

    expect(heard.map(({ at_ms, name }) => [at_ms, name])).toEqual([
      [630_000, 'step-1'],
      [630_250, 'step-2'],
      [660_000, 'step-3'],
    ]);
  });

  it('tells a repeated step as steps of their own, in the order of time', () => {
    const { heard } = readStory({
      heard: ['{ at: 0s, active: periodic-test, repeat: { every: 10m, times: 3 } }', '{ at: 15m, active: waterflow }'],
    });

    expect(heard.map(({ at_ms, name }) => [at_ms, name])).toEqual([
      [0, 'step-1'],
      [600_000, 'step-1-2'],
      [900_000, 'step-2'],
      [1_200_000, 'step-1-3'],
    ]);
  });

  it('runs the clock on from the last step, repeats included, where "until" begins with +', () => {
    const { until } = readStory({ heard: ['{ at: 0s, active: periodic-test, repeat: { every: 10m, times: 3 } }'] });

    expect(formatInstant(until)).toBe('2026-03-02T08:25:00.000Z');
  });

  it('takes the riser from a file or inline', () => {
    const inline = story({ heard: ['{ at: 0s, active: periodic-test }'] }).replace(
      'riser: deluge-1.riser.yaml',
      'riser: { account: a, riser: r, site: { name: A, timeZone: UTC }, release: electric, points: [{ point: 1, signal: heat }] }',
    );

    expect(mistakesIn(inline)).toEqual([]);
    expect(readStory({ heard: ['{ at: 0s, active: periodic-test }'] }).riser).toEqual({ file: 'deluge-1.riser.yaml' });
  });
});

describe('a mistake in a scenario file', () => {
  it.each([
    ['a misspelt signal', '{ at: 0s, active: waterfow }', /^story\.yaml:6: given\.heard\.0\.active: expected a signal/],
    ['a step without a verb', '{ at: 0s }', /^story\.yaml:6: given\.heard\.0: expected a step with exactly one of/],
    ['a step with two verbs', '{ at: 0s, active: heat, restored: heat }', /with exactly one of the keys active, /],
    ['an unknown key', '{ at: 0s, active: heat, pont: 2 }', /^story\.yaml:6: given\.heard\.0\.pont: expected no such/],
    ['a time without its unit', '{ at: 30, active: heat }', /^story\.yaml:6: given\.heard\.0\.at: expected a time/],
    [
      'a reading without its unit',
      '{ at: 0s, reading: flow, value: "12" }',
      /0\.value: expected a value with its unit/,
    ],
    ['a reset that is said to last', '{ at: 0s, active: reset }', /0\.active: expected a signal that lasts/],
  ])('names file, line, key and what was expected: %s', (_what, step, mistake) => {
    expect(mistakesIn(story({ heard: [step] }))).toEqual([expect.stringMatching(mistake)]);
  });

  it('is a step earlier than the one above it', () => {
    const text = story({ heard: ['{ at: 5m, active: heat }', '{ at: 4m, restored: heat }'] });

    expect(mistakesIn(text)).toEqual([
      expect.stringMatching(/^story\.yaml:7: given\.heard\.1\.at: expected a time not/),
    ]);
  });

  it('is an unknown code, and an end that is not the last phase', () => {
    const code = ['findings: [{ code: flow-without-relase, raised: 5m, cleared: never }]', 'ends: alarm'];
    const ends = ['findings: []', 'phases: [unknown, alarm]', 'ends: in-service'];

    expect(mistakesIn(story({ heard: ['{ at: 0s, active: heat }'], expect: code }))).toEqual([
      expect.stringMatching(/^story\.yaml:9: expect\.findings\.0\.code: expected a finding code, one of flow-with/),
    ]);
    expect(mistakesIn(story({ heard: ['{ at: 0s, active: heat }'], expect: ends }))).toEqual([
      expect.stringMatching(/^story\.yaml:11: expect\.ends: expected the last of "phases"/),
    ]);
  });

  it('is found inside an inline riser at its own line', () => {
    const text = story({ heard: ['{ at: 0s, active: heat }'] }).replace(
      'riser: deluge-1.riser.yaml',
      [
        'riser:',
        '  account: a',
        '  riser: r',
        '  site: { name: A, timeZone: Mars/Base }',
        '  release: electric',
        '  points: [{ point: 1, signal: heat }]',
      ].join('\n'),
    );

    expect(mistakesIn(text)).toEqual([
      expect.stringMatching(/^story\.yaml:5: riser\.site\.timeZone: expected an IANA/),
    ]);
  });
});
