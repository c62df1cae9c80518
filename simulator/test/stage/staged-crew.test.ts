import { describeMistake } from '@tidemark/riser';
import { parseScenario } from '@tidemark/scenario';
import { describe, expect, it } from 'vitest';
import { stagedStory } from '../../src/index.ts';
import { profileWith } from './tell.ts';

function storyWith(crew: string) {
  const text = `claim: A crew works
riser: riser.yaml
given:
  plant: { seed: 40 }
  crews:
    - ${crew}
until: 1h
expect:
  findings: []
  ends: in-service
`;
  const read = parseScenario(text, 'story.yaml');
  if (!read.ok) throw new Error(read.failure.map(describeMistake).join('\n'));
  if (!('staged' in read.value)) throw new Error('not a story of a plant');
  return stagedStory(read.value, profileWith());
}

describe('a crew of a scenario', () => {
  it.each([
    ['{ procedure: restoration, at: 12m }', 'restore-device', { point: 1 }],
    ['{ procedure: trip-test, at: 12m, points: [2] }', 'operate-device', { point: 2 }],
    ['{ procedure: devices-test, at: 12m, points: [2, 1] }', 'operate-device', { point: 2 }],
    ['{ procedure: alarm-test, at: 12m }', 'open-alarm-test', {}],
    ['{ procedure: main-drain-test, at: 12m }', 'open-supply-drain', {}],
    ['{ procedure: prime-valve-maintenance, at: 12m }', 'close-prime-valve', {}],
  ])('does its procedure (%s)', (crew, step, details) => {
    const story = storyWith(crew);

    expect(story.ok && story.value.crews).toMatchObject([{ from_s: 720, seed: 40 }]);
    const planned = story.ok ? story.value.crews?.[0]?.plan.find(({ name }) => name === step) : undefined;
    expect(planned?.step).toMatchObject(details);
  });

  it('announces its test for as long as it says', () => {
    const story = storyWith('{ procedure: alarm-test, at: 12m, forSeconds: 900 }');
    const announced = story.ok ? story.value.crews?.[0]?.plan[0]?.step : undefined;

    expect(announced).toMatchObject({ command: { command: 'test-begin', forSeconds: 900, expect: ['waterflow'] } });
  });

  it('makes its mistakes, in their order', () => {
    const story = storyWith(
      '{ procedure: restoration, at: 12m, mistakes: [{ tooEarly: reset, before: restore-device }, { halfDo: open-supply-valve-slowly, part: 50% }, { tooLate: last-reset, by: 5m }, { swap: close-system-drain, with: close-auxiliary-drain }, { leaveBefore: no-signal-left }] }',
    );
    const plan = story.ok ? (story.value.crews?.[0]?.plan ?? []) : [];

    expect(plan.filter(({ mistake }) => mistake !== undefined).map(({ mistake, name }) => [name, mistake])).toEqual([
      ['reset', 'too-early'],
      ['close-auxiliary-drain', 'swap'],
      ['close-system-drain', 'swap'],
      ['open-supply-valve-slowly', 'half-do'],
      ['last-reset', 'too-late'],
      ['no-signal-left', 'leave'],
    ]);
  });

  it.each([
    ['{ procedure: restoration, at: 12m, points: [3] }', 'expected points of initiating devices, of 1, 2, unlike 3'],
    ['{ procedure: restoration, at: 12m, mistakes: [{ skip: rest }] }', 'instead of "rest"'],
  ])('is refused with its place in the file (%s)', (crew, expected) => {
    const story = storyWith(crew);

    expect(story).toMatchObject({ ok: false, failure: [{ path: ['given', 'crews', 0] }] });
    expect(story.ok ? '' : story.failure[0]?.expected).toContain(expected);
  });
});
