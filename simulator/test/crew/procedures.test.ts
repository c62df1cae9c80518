import { instant } from '@tidemark/kernel';
import { parseProfile } from '@tidemark/riser';
import type { Profile } from '@tidemark/riser';
import { describe, expect, it } from 'vitest';
import { planCrew, procedures, runStory } from '../../src/index.ts';
import type { CrewStep, Mistake, PlayedStory, Story } from '../../src/index.ts';

function profileWith(panel: string): Profile {
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
${panel}`,
    'test.riser.yaml',
  );
  if (!read.ok) throw new Error(JSON.stringify(read.failure));
  return read.value;
}

const following = profileWith('');
const latching = profileWith('panel: { restorals: reset }\n');

/** A crew that comes at 300 s, 120 s after somebody pulled the station where the story is to begin with a discharge. */
function played(
  script: readonly CrewStep[],
  { discharge = false, mistakes = [], profile = following, seed = 1 }: Partial<Sent> = {},
): PlayedStory {
  const plan = planCrew(script, mistakes);
  if (!plan.ok) throw new Error(plan.failure.expected);
  const pull = { due: { at_s: 180 }, deed: { act: 'device', point: 1, state: 'active' } } as const;
  const story: Story = {
    profile,
    begin: instant(Date.UTC(2026, 2, 2, 8)),
    length_s: 4 * 3_600,
    steps: discharge ? [[pull]] : [],
    crews: [{ plan: plan.value, from_s: 300, seed }],
  };
  return runStory(story);
}

interface Sent {
  readonly discharge: boolean;
  readonly mistakes: readonly Mistake[];
  readonly profile: Profile;
  readonly seed: number;
}

/** The signals whose last word is that they are active, periodic tests aside. */
function stillActive({ truth }: PlayedStory): readonly string[] {
  const last = new Map<string, string>();
  for (const { data } of truth.said)
    if ('state' in data && data.signal !== 'periodic-test') last.set(data.signal, data.state);
  return [...last].filter(([, state]) => state === 'active').map(([signal]) => signal);
}

const outcomes = ({ truth }: PlayedStory) => (truth.crews[0] ?? []).map(({ outcome }) => outcome);
const announced = { forSeconds: 7_200 };
const seeds = [1, 2, 3, 4, 5, 6];

describe.each([
  ['restorals with the contact', following, []],
  // Such a panel shows waterflow until it is reset, so the crew goes on without having seen it restore.
  ['restorals with the reset', latching, ['waterflow-back']],
])('a procedure done by the book, on a panel that reports %s', (_name, profile, neverSeen) => {
  it.each([
    ['restoration', procedures.restoration({ point: 1 }), true, 1],
    ['alarmTest', procedures.alarmTest(announced), false, 0],
    ['mainDrainTest', procedures.mainDrainTest(announced), false, 0],
    ['tripTest', procedures.tripTest({ ...announced, point: 1 }), false, 1],
    ['devicesTest', procedures.devicesTest({ ...announced, points: [1, 2] }), false, 0],
    ['primeValveMaintenance', procedures.primeValveMaintenance(), false, 0],
  ])('ends with everything normal and the valve shut (%s)', (_script, script, discharge, trips) => {
    for (const seed of seeds) {
      const story = played(script, { discharge, profile, seed });

      expect(stillActive(story)).toEqual([]);
      expect(story.truth.water).toHaveLength(trips);
      expect(story.truth.water.every(({ to_s }) => to_s !== undefined)).toBe(true);
      expect(outcomes(story)).not.toContain('skipped');
    }
  });

  it('sees everything that can be seen there', () => {
    for (const seed of seeds) {
      const story = played(procedures.restoration({ point: 1 }), { discharge: true, profile, seed });
      const unseen = story.truth.crews[0]?.filter(({ outcome }) => outcome === 'never-seen').map(({ step }) => step);

      expect(unseen).toEqual(neverSeen);
    }
  });
});

describe('a mistake in a restoration', () => {
  const after = (...mistakes: readonly Mistake[]) =>
    played(procedures.restoration({ point: 1 }), { discharge: true, mistakes });

  it('of leaving the supply valve shut keeps its signal', () => {
    expect(stillActive(after({ mistake: 'skip', step: 'open-supply-valve-slowly' }))).toContain('supply-valve');
  });

  it('of not draining the low points keeps waterflow and priming pressure, and trips again on reopening', () => {
    const story = after(
      { mistake: 'skip', step: 'open-system-drain' },
      { mistake: 'skip', step: 'open-auxiliary-drain' },
    );

    // MODEL 4.4, row V10.
    expect(story.truth.water.length).toBeGreaterThan(1);
  });

  it('of resetting before the station is set back releases again', () => {
    const story = after({ mistake: 'too-early', step: 'reset', before: 'restore-device' });

    expect(story.truth.release).toHaveLength(2);
  });

  it('of nobody resetting leaves the panel in alarm and the release energized', () => {
    const story = after({ mistake: 'skip', step: 'reset' }, { mistake: 'skip', step: 'last-reset' });

    expect(stillActive(story)).toEqual(expect.arrayContaining(['panel-alarm', 'solenoid']));
  });

  it('of leaving at once leaves the water running', () => {
    const [water] = after({ mistake: 'leave', before: 'close-supply-valve' }).truth.water;

    expect(water?.to_s).toBeUndefined();
  });
});
