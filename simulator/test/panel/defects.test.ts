import { describe, expect, it } from 'vitest';
import { panelDefects } from '../../src/index.ts';
import type { PanelDefect, PanelOutput, PanelSettings } from '../../src/index.ts';
import {
  at,
  back,
  defect,
  disconnect,
  made,
  moments,
  play,
  power,
  programme,
  reset,
  silence,
  spoken,
  wiring,
} from './told.ts';
import type { Act } from './told.ts';

/** The test that a defect's note names: what is done, and what a sound panel's word and deed are like then. */
interface Probe {
  readonly settings?: PanelSettings;
  readonly acts: readonly Act[];
  readonly passes: (lines: readonly string[], outputs: readonly PanelOutput[]) => boolean;
}

const until_s = 1_000;
const delayed = programme('{ releaseDelaySeconds: 30 }');
const within = (lines: readonly string[], what: string, [from_s, to_s]: readonly [number, number]): boolean =>
  moments(lines, what).some((at_s) => at_s >= from_s && at_s <= to_s);
const once = (lines: readonly string[], what: string): number | undefined => moments(lines, what)[0];
const never = (lines: readonly string[], what: string): boolean => moments(lines, what).length === 0;

const heatAlarm: readonly Act[] = [[100, made(at.heat)]];
const heatThenReset: readonly Act[] = [...heatAlarm, [300, reset]];
const heatClearedAndReset: readonly Act[] = [...heatAlarm, [200, back(at.heat)], [300, reset]];
const shutValveAndReset: readonly Act[] = [
  [100, made(at.supply)],
  [300, reset],
];

const probes: Readonly<Record<PanelDefect, Probe>> = {
  'release-held-through-reset': {
    acts: heatClearedAndReset,
    passes: (lines) => within(lines, 'circuit at rest', [300, 320]),
  },
  'release-follows-device': {
    acts: [...heatAlarm, [200, back(at.heat)]],
    passes: (lines) => never(lines, 'circuit at rest'),
  },
  'release-output-dead': {
    acts: heatAlarm,
    passes: (lines) => within(lines, 'circuit energized', [100, 110]),
  },
  'release-delay-skipped': {
    settings: delayed,
    acts: heatAlarm,
    passes: (lines) => (once(lines, 'circuit energized') ?? Infinity) >= 130,
  },
  'release-delay-doubled': {
    settings: delayed,
    acts: heatAlarm,
    passes: (lines) => (once(lines, 'circuit energized') ?? Infinity) <= 140,
  },
  'one-zone-releases': {
    settings: programme('{}', { crossZoned: true }),
    acts: heatAlarm,
    passes: (lines) => never(lines, 'circuit energized'),
  },
  'supervisory-releases': {
    acts: [[100, made(at.supply)]],
    passes: (lines) => never(lines, 'circuit energized'),
  },
  'releases-while-disconnected': {
    acts: [[50, disconnect(true)], ...heatAlarm],
    passes: (lines) => never(lines, 'circuit energized'),
  },
  'disconnect-not-reported': {
    acts: [[100, disconnect(true)]],
    passes: (lines) => within(lines, 'release-disconnect 8 active', [100, 190]),
  },
  'release-circuit-unsupervised': {
    acts: [[100, wiring('release', 'open')]],
    passes: (lines) => within(lines, 'release-circuit active', [100, 300]),
  },
  'reset-not-refused': {
    settings: programme('{ refusesResetWhileActive: true }'),
    acts: heatThenReset,
    passes: (lines) => never(lines, 'reset performed') && never(lines, 'panel-alarm restored'),
  },
  'reset-not-reported': {
    acts: heatClearedAndReset,
    passes: (lines) => within(lines, 'reset performed', [300, 310]),
  },
  'silence-drops-release': {
    acts: [...heatAlarm, [200, silence]],
    passes: (lines) => never(lines, 'circuit at rest'),
  },
  'silence-lasts': {
    acts: [...heatAlarm, [200, silence], [300, made(at.waterflow)]],
    passes: (lines) => within(lines, 'horns on', [300, 310]),
  },
  'waterflow-late': {
    acts: [[100, made(at.waterflow)]],
    passes: (lines) => within(lines, 'waterflow 4 active', [100, 200]),
  },
  'waterflow-not-latching': {
    acts: [
      [100, made(at.waterflow)],
      [200, back(at.waterflow)],
    ],
    passes: (lines) => never(lines, 'panel-alarm restored'),
  },
  'waterflow-as-supervisory': {
    acts: [[100, made(at.waterflow)]],
    passes: (lines) => within(lines, 'panel-alarm active', [100, 110]) && never(lines, 'panel-supervisory active'),
  },
  'surge-alarms': {
    settings: programme('{ waterflowRetardSeconds: 60 }'),
    acts: [
      [100, made(at.waterflow)],
      [120, back(at.waterflow)],
    ],
    passes: (lines) => never(lines, 'waterflow 4 active'),
  },
  'verification-blind': {
    settings: programme('{ verificationSeconds: 30 }'),
    acts: [
      [100, made(at.smoke)],
      [110, back(at.smoke)],
    ],
    passes: (lines) => never(lines, 'smoke 3 active'),
  },
  'supervisory-not-anew': {
    acts: shutValveAndReset,
    passes: (lines) => within(lines, 'supply-valve 5 active', [300, 320]),
  },
  'supervisory-restored-early': {
    acts: shutValveAndReset,
    passes: (lines) => never(lines, 'supply-valve 5 restored'),
  },
  'panel-alarm-not-anew': {
    acts: heatThenReset,
    passes: (lines) => within(lines, 'panel-alarm active', [300, 320]),
  },
  'restoral-lost': {
    acts: [...heatAlarm, [200, back(at.heat)]],
    passes: (lines) => within(lines, 'heat 2 restored', [200, 210]),
  },
  'point-number-wrong': {
    acts: [[100, made(at.waterflow)]],
    passes: (lines) => within(lines, 'waterflow 4 active', [100, 110]),
  },
  'trouble-late': {
    acts: [[100, wiring(at.heat, 'open')]],
    passes: (lines) => within(lines, 'initiating-circuit active', [100, 300]),
  },
  'battery-unsupervised': {
    acts: [[100, power('battery', false)]],
    passes: (lines) => within(lines, 'battery active', [100, 300]),
  },
  'periodic-test-missing': {
    settings: { ...programme(), periodicTest_s: 300 },
    acts: [],
    passes: (lines) => within(lines, 'periodic-test active', [1, 360]),
  },
  'clock-ahead': {
    acts: heatAlarm,
    passes: (_lines, outputs) =>
      outputs.every((output) => output.type !== 'signal' || Math.abs(output.clockAhead_s ?? 0) <= 60),
  },
  'number-repeated': {
    acts: [...heatAlarm, [200, back(at.heat)]],
    passes: (_lines, outputs) => outputs.every((output) => output.type !== 'signal' || output.numberAgain !== true),
  },
};

/** Whether a panel passes a probe; with a defect from the start, or with one that came and went before. */
function passes({ acts, passes: judge, settings = programme() }: Probe, before: readonly Act[]): boolean {
  const { outputs } = play(settings, [...before, ...acts], until_s);
  return judge(outputs.map(spoken), outputs);
}

const names = Object.keys(panelDefects) as PanelDefect[];

describe('each defect', () => {
  it.each(names)('%s fails the test that its note names, which a sound panel passes', (name) => {
    expect(passes(probes[name], [])).toBe(true);
    expect(passes(probes[name], [[0, defect(name)]])).toBe(false);
  });

  it.each(names)('%s is gone when it is switched off', (name) => {
    const { acts, settings = programme() } = probes[name];
    const mended: readonly Act[] = [
      [0, defect(name)],
      [0, defect(name, false)],
    ];

    // The first periodic test is sent as the panel starts, before anything is done to it.
    expect(play(settings, [...mended, ...acts], until_s)).toEqual(play(settings, acts, until_s));
  });

  it('fails a set of tests that no other defect fails', () => {
    const failures = new Map(
      names.map((name) => [name, names.filter((probe) => !passes(probes[probe], [[0, defect(name)]])).join(' ')]),
    );

    expect(new Set(failures.values()).size).toBe(names.length);
  });

  it('that alarms for a surge is over with the next scan', () => {
    const { acts, settings } = probes['surge-alarms'];
    const lines = play(settings!, [[0, defect('surge-alarms')], ...acts], until_s).outputs.map(spoken);

    expect(moments(lines, 'waterflow 4 active')).toEqual([160.25]);
    expect(moments(lines, 'waterflow 4 restored')).toEqual([160.5]);
  });
});
