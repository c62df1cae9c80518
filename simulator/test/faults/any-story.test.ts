import { fc, test } from '@fast-check/vitest';
import { defaultFigures } from '@tidemark/hydraulics';
import { instant, seededRandom } from '@tidemark/kernel';
import { parseProfile } from '@tidemark/riser';
import { decode, defaultPrefix } from '@tidemark/signals';
import { describe, expect } from 'vitest';
import { injections, planCrew, plausibleSize, procedures, publicationOf, runStory, Stage } from '../../src/index.ts';
import type { CrewPlan, Injection, Mistake, PlayedStory, Story, StoryFault } from '../../src/index.ts';

const read = parseProfile(
  `account: quayside-cold-store
riser: deluge-1
site: { name: Quayside cold store, timeZone: Europe/Oslo }
release: electric
points:
  - { point: 1, signal: manual-pull }
  - { point: 2, signal: heat }
  - { point: 3, signal: waterflow }
  - { point: 4, signal: supply-valve }
  - { point: 5, signal: prime-pressure-low }
  - { point: 6, signal: solenoid }
  - { point: 7, signal: release-disconnect }
  - { point: 8, signal: supply-pressure-low }
`,
  'test.riser.yaml',
);
if (!read.ok) throw new Error(JSON.stringify(read.failure));
const profile = read.value;
const ways = injections(defaultFigures, profile);
const steps = procedures.restoration({ point: 1 });

function plan(mistakes: readonly Mistake[]): CrewPlan {
  const planned = planCrew(steps, mistakes);
  if (!planned.ok) throw new Error(planned.failure.expected);
  return planned.value;
}

/** Some faults at some times, in plausible sizes; what people do wrong goes into their plan. */
const stories: fc.Arbitrary<Story> = fc
  .record({
    drawn: fc.array(
      fc.record({
        index: fc.nat(ways.length - 1),
        at_s: fc.integer({ min: 0, max: 1_800 }),
        lasts_s: fc.option(fc.integer({ min: 1, max: 1_800 }), { nil: undefined }),
      }),
      { maxLength: 4 },
    ),
    seed: fc.integer({ min: 0, max: 0xffff_ffff }),
  })
  .map(({ drawn, seed }) => {
    const random = seededRandom(seed);
    const chosen = drawn.map((each) => ({ ...each, way: ways[each.index]! }));
    return {
      profile,
      begin: instant(Date.UTC(2026, 2, 2, 8)),
      length_s: 3_600,
      link: { seed, latency: { base_s: 0.2, spread_s: 1 } },
      faults: chosen.map(({ at_s, lasts_s, way }) => fault(way, at_s, { lasts_s, size: plausibleSize(way, random) })),
      steps: [[{ due: { at_s: 300 }, deed: { act: 'device', point: 1, state: 'active' } as const }]],
      crews: [{ plan: plan(mistakesOf(chosen.map(({ way }) => way))), from_s: 420, seed }],
    };
  });

const fault = (
  { apply, cause, row, size: known }: Injection,
  at_s: number,
  { lasts_s, size }: { readonly lasts_s: number | undefined; readonly size: number },
): StoryFault => ({
  cause,
  row,
  size: known === undefined ? undefined : size,
  injected: apply(size),
  due: { at_s },
  ...(lasts_s === undefined ? {} : { lasts_s }),
});

/** The mistakes of the first that is made in a restoration; those of two may not fit each other. */
function mistakesOf(chosen: readonly Injection[]): readonly Mistake[] {
  for (const { apply, size } of chosen) {
    const injected = apply(size?.usual ?? 1);
    if (injected.where === 'crew' && injected.procedure === 'restoration') return injected.mistakes;
  }
  return [];
}

const signalsIn = ({ heard }: PlayedStory) => heard.filter((each) => each.topic === 'signal');

describe('whatever goes wrong in a story', () => {
  test.prop([stories, fc.array(fc.integer({ min: 0, max: 3_600 }), { maxLength: 6 })], { numRuns: 15 })(
    'it makes no difference in which slices it is played',
    (story, looks) => {
      const once = runStory(story);
      const stage = new Stage(story);
      const heard = [...looks.toSorted((one, other) => one - other), story.length_s].flatMap((at_s) =>
        stage.advanceTo(at_s),
      );

      expect(heard).toEqual(once.heard);
      expect(stage.truth).toEqual(once.truth);
    },
  );

  test.prop([stories], { numRuns: 20 })('the station hears only what the panel said, and reads all of it', (story) => {
    const played = runStory(story);

    const said = new Set(
      played.truth.said
        .filter(({ fate }) => fate === 'sent' || fate === 'stored')
        .map(({ at_s, data }) => JSON.stringify([at_s, data])),
    );
    const firsts = signalsIn(played).filter(({ repeat }) => !repeat);
    expect(firsts.every(({ event, sent_s }) => said.has(JSON.stringify([sent_s, event.data])))).toBe(true);
    expect(new Set(firsts.map(({ event }) => event.id)).size).toBe(firsts.length);
    const options = { prefix: defaultPrefix, installed: () => ({ points: profile.points }) };
    const sender = { key: profile, begin: story.begin, panel: 'panel-1' };
    for (const each of played.heard)
      if (each.topic !== 'command')
        expect(decode({ ...publicationOf(each, sender), receivedAt: story.begin }, options).ok).toBe(true);
  });

  test.prop([stories], { numRuns: 20 })('every step of the crew and every cause is written down', (story) => {
    const { truth } = runStory(story);

    expect(truth.causes.map(({ cause }) => cause).toSorted()).toEqual(
      (story.faults ?? []).map(({ cause }) => cause).toSorted(),
    );
    const done = truth.crews[0] ?? [];
    const planned = story.crews?.[0]?.plan ?? [];
    expect(done.map(({ step }) => step)).toEqual(planned.slice(0, done.length).map(({ name }) => name));
    // A valve's act is its beginning, any other's its end; the story may be over in the middle of a step.
    const within = ({ at_s }: { readonly at_s: number }): boolean =>
      done.length < planned.length || done.some(({ began_s, ended_s }) => began_s <= at_s && at_s <= ended_s);
    expect(truth.acts.filter(({ by }) => by === 'crew 1').every(within)).toBe(true);
  });
});
