import { readFileSync } from 'node:fs';
import { Replay } from '@tidemark/cli';
import { instant, ok } from '@tidemark/kernel';
import { describeMistake, parseProfile } from '@tidemark/riser';
import type { Profile } from '@tidemark/riser';
import { planCrew, procedures, runStory, Stage, storyLine } from '@tidemark/simulator';
import type { CrewStep, LinkTroubleKind, Story, StoryFault } from '@tidemark/simulator';
import { describe, expect, it } from 'vitest';

const begin = instant(Date.UTC(2026, 2, 2, 8));
const length_s = 5 * 3_600;

function profileOf(name: string): Profile {
  const file = new URL(`../../scenarios/risers/${name}.riser.yaml`, import.meta.url);
  const read = parseProfile(readFileSync(file, 'utf8'), file.pathname);
  if (!read.ok) throw new Error(read.failure.map(describeMistake).join('\n'));
  return read.value;
}

const ofLink = (cause: StoryFault['cause'], row: string, trouble: LinkTroubleKind): StoryFault => ({
  cause,
  row,
  size: undefined,
  injected: { where: 'link', trouble },
  due: { at_s: 1 },
});

/** Signals up to 4 s late, a fifth of them twice, a third overtaken: all within the latency of 10 s (CONTRACT 5.1). */
const restless: readonly StoryFault[] = [
  ofLink('link-duplicates', 'K3', { kind: 'duplicate', which: { share: 0.2 }, after_s: 3 }),
  ofLink('link-reordered', 'K4', { kind: 'reorder', which: { share: 0.3 }, by_s: 4 }),
];

interface Procedure {
  readonly script: readonly CrewStep[];
  readonly discharge?: boolean;
}

/** The finding codes that a crew's story raises, and the phase at its end. */
function judged({ discharge = false, script }: Procedure, profile: Profile, seed: number): readonly string[] {
  const plan = planCrew(script);
  if (!plan.ok) throw new Error(plan.failure.expected);
  const story: Story = {
    profile,
    begin,
    length_s,
    link: { seed, latency: { base_s: 0.2, spread_s: 4 } },
    faults: restless,
    steps: discharge ? [[{ due: { at_s: 180 }, deed: { act: 'device', point: 1, state: 'active' } }]] : [],
    crews: [{ plan: plan.value, from_s: 300, seed }],
  };
  const { sender } = new Stage(story);
  const replay = new Replay(profile);
  const news = runStory(story).heard.flatMap((each, index) => {
    const receivedAt = instant(begin + 1_000 * each.received_s);
    return replay.take({ number: index + 1, receivedAt, text: ok(storyLine(each, sender)) });
  });
  const all = [...news, ...replay.runTo(instant(begin + 1_000 * length_s))];
  const codes = all.flatMap((each) => (each.kind === 'finding' ? [each.finding.code] : []));
  const phases = all.flatMap((each) => (each.kind === 'phase' ? [each.phase] : []));
  return [...new Set(codes), `ends ${phases.at(-1) ?? 'without a phase'}`];
}

const window = { forSeconds: 7_200 };
const seeds = [1, 23, 101, 102, 103];

/** CONTRACT 5.3, last sentence: done in the right order at any human pace, none of these raises a finding. */
describe.each(['quayside-deluge-1', 'tannery-lane-deluge-3'])('a crew that works by the book at %s', (riser) => {
  const profile = profileOf(riser);

  it.each<[string, Procedure]>([
    ['restoration', { script: procedures.restoration({ point: 1 }), discharge: true }],
    ['alarm test', { script: procedures.alarmTest(window) }],
    ['main drain test', { script: procedures.mainDrainTest(window) }],
    ['trip test', { script: procedures.tripTest({ ...window, point: 1 }) }],
    ['maintenance of the priming line', { script: procedures.primeValveMaintenance() }],
  ])('raises nothing at any pace over a restless link (%s)', (_name, procedure) => {
    for (const seed of seeds) expect([seed, ...judged(procedure, profile, seed)]).toEqual([seed, 'ends in-service']);
  });
});

describe('a crew that tests devices with the release disconnected', () => {
  const devices: Procedure = { script: procedures.devicesTest({ ...window, points: [1, 2] }) };

  it('raises nothing where a point reports the switch', () => {
    const profile = profileOf('quayside-deluge-1');

    for (const seed of seeds) expect([seed, ...judged(devices, profile, seed)]).toEqual([seed, 'ends in-service']);
  });

  it('cannot be told from a release that fails where no point reports it', () => {
    const profile = profileOf('tannery-lane-deluge-3');

    for (const seed of seeds)
      expect(judged(devices, profile, seed)).toEqual(['alarm-without-release', 'ends in-service']);
  });
});
