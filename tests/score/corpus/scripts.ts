import { invariant } from '@tidemark/kernel';
import type { Random } from '@tidemark/kernel';
import type { Profile } from '@tidemark/riser';
import { isInitiating } from '@tidemark/signals';
import type { SignalName } from '@tidemark/signals';
import { planCrew, procedures } from '@tidemark/simulator';
import type { CrewOrder, CrewStep, Mistake, StoryStep } from '@tidemark/simulator';
import { oneOf, within } from './random-choice.ts';

/** What people and fires do in a story. */
export const scriptNames = [
  'fire',
  'fire-unattended',
  'trip-test',
  'alarm-test',
  'main-drain-test',
  'devices-test',
  'maintenance',
  'inspection',
  'quiet',
] as const;

/** The name of a script. */
export type ScriptName = (typeof scriptNames)[number];

/** A script for a riser, with its times in s from the beginning. */
export interface Script {
  readonly name: ScriptName;
  /** When the first thing is done; a fault before it is there in time. */
  readonly action_s: number;
  /** The device that is operated. */
  readonly point: number;
  readonly length_s: number;
  readonly steps: readonly StoryStep[];
  readonly crews: readonly CrewOrder[];
}

/** Points without which a script would not be a normal one by the contract. */
export const needs: Readonly<Record<ScriptName, readonly SignalName[]>> = {
  fire: [],
  'fire-unattended': [],
  'trip-test': [],
  'alarm-test': [],
  'main-drain-test': [],
  // Without a point for it, the twin cannot know that the release is disconnected.
  'devices-test': ['release-disconnect'],
  maintenance: [],
  inspection: ['release-disconnect'],
  quiet: [],
};

/** How a script may be varied by a fault of people. */
interface Variation {
  readonly random: Random;
  readonly mistakes?: readonly Mistake[];
  /** How long the riser is watched after the last act at least, s. */
  readonly watched_s?: number;
}

const minute_s = 60;
const hour_s = 3_600;

/** Long enough for the quiet of two hours to be over and told (CONTRACT 3, `quietSeconds`). */
const after_s = 2.3 * hour_s;

/** No procedure takes longer, mistakes aside. */
const longest_s = {
  restoration: 1.2 * hour_s,
  test: 1.5 * hour_s,
  inspection: 3 * hour_s,
  maintenance: 2 * hour_s,
} as const;

/** A script for a riser. */
export function scriptOf(name: ScriptName, profile: Profile, variation: Variation): Script {
  const { random } = variation;
  const action_s = Math.round(within(random, 15, 50) * minute_s);
  const initiating = profile.points.filter(({ signal }) => isInitiating(signal)).map(({ point }) => point);
  const point = oneOf(random, initiating);
  const setting: Setting = { name, action_s, point, initiating, variation };
  switch (name) {
    case 'fire':
      return fire(setting, within(random, 4, 40) * minute_s);
    case 'fire-unattended':
      return fire(setting, within(random, 1, 2.8) * hour_s);
    case 'quiet':
      return { ...setting, length_s: action_s + Math.max(after_s, variation.watched_s ?? 0), steps: [], crews: [] };
    case 'maintenance':
      return crewed(setting, procedures.primeValveMaintenance(), longest_s.maintenance);
    case 'inspection':
      return crewed(setting, inspection(setting), longest_s.inspection);
    default:
      return crewed(setting, testSteps(name, setting), longest_s.test);
  }
}

interface Setting {
  readonly name: ScriptName;
  readonly action_s: number;
  readonly point: number;
  readonly initiating: readonly number[];
  readonly variation: Variation;
}

/** Long enough that no test at a human pace outlasts its window. */
const announced = { forSeconds: 3 * hour_s };

const testSteps = (
  name: 'trip-test' | 'alarm-test' | 'main-drain-test' | 'devices-test',
  { initiating, point }: Setting,
): readonly CrewStep[] => {
  switch (name) {
    case 'trip-test':
      return procedures.tripTest({ ...announced, point });
    case 'alarm-test':
      return procedures.alarmTest(announced);
    case 'main-drain-test':
      return procedures.mainDrainTest(announced);
    case 'devices-test':
      return procedures.devicesTest({ ...announced, points: initiating });
  }
};

/** Several tests in one visit, each announced by itself. */
function inspection(setting: Setting): readonly CrewStep[] {
  const pause: CrewStep = { name: 'paperwork', do: 'pause', takes: { least_s: 120, usual_s: 300, most_s: 900 } };
  const tests = ['main-drain-test', 'alarm-test', 'devices-test'] as const;
  return tests.flatMap((name) => [
    pause,
    ...testSteps(name, setting).map((step): CrewStep => ({ ...step, name: `${name} ${step.name ?? step.do}` })),
  ]);
}

function fire(setting: Setting, crewAfter_s: number): Script {
  const { action_s, point, variation } = setting;
  const from_s = Math.round(action_s + crewAfter_s);
  const steps: readonly StoryStep[] = [{ due: { at_s: action_s }, deed: { act: 'device', point, state: 'active' } }];
  const length_s = from_s + longest_s.restoration + Math.max(after_s, variation.watched_s ?? 0);
  return { ...setting, length_s, steps, crews: [order(setting, procedures.restoration({ point }), from_s)] };
}

function crewed(setting: Setting, steps: readonly CrewStep[], takes_s: number): Script {
  const { action_s, variation } = setting;
  const length_s = action_s + takes_s + Math.max(after_s, variation.watched_s ?? 0);
  return { ...setting, length_s, steps: [], crews: [order(setting, steps, action_s)] };
}

function order({ variation }: Setting, steps: readonly CrewStep[], from_s: number): CrewOrder {
  const plan = planCrew(steps, variation.mistakes);
  invariant(plan.ok, plan.ok ? '' : `a mistake that cannot be made: expected ${plan.failure.expected}`);
  return { plan: plan.value, from_s, seed: variation.random.between(1, 0x7fff_ffff) };
}
