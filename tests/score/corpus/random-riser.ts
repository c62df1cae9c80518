import { defaultFigures } from '@tidemark/hydraulics';
import { invariant } from '@tidemark/kernel';
import type { Random } from '@tidemark/kernel';
import { describeMistake, parseProfile } from '@tidemark/riser';
import type { Profile } from '@tidemark/riser';
import type { SignalName } from '@tidemark/signals';
import { happens, oneOf, within } from './random-choice.ts';

/** A riser by chance. */
export interface RandomRiser {
  readonly yaml: string;
  /** What its file says. */
  readonly profile: Profile;
  /** What truly is there: the file, and what it leaves out. */
  readonly installed: Profile;
}

const timeZones = ['Europe/Oslo', 'Europe/London', 'America/St_Johns', 'Asia/Kolkata', 'Pacific/Auckland', 'UTC'];

/** Invented places; whoever reads a log knows it by its riser. */
const places = ['harbour-mill', 'north-shed', 'quarry-belt', 'tank-yard', 'seed-store', 'winding-house'];

/**
 * A riser whose every figure lies in its plausible range (MODEL 1.8), and whose points are by chance, but for those that
 * it must have. The rest of the file stays as it is by default.
 */
export function randomRiser(random: Random, mustHave: readonly SignalName[]): RandomRiser {
  const place = oneOf(random, places);
  const lines = [
    `account: ${place}`,
    `riser: deluge-${String(random.between(1, 9))}`,
    `site: { name: ${place.replace('-', ' ')}, timeZone: ${oneOf(random, timeZones)} }`,
    'release: electric',
    'points:',
    ...pointsOf(random.fork('points'), mustHave),
    ...hydraulicsOf(random.fork('hydraulics')),
    ...panelOf(random.fork('panel')),
  ];
  const yaml = `${lines.join('\n')}\n`;
  const profile = parseProfile(yaml, 'random.riser.yaml');
  invariant(profile.ok, profile.ok ? '' : profile.failure.map(describeMistake).join('\n'));
  return { yaml, profile: profile.value, installed: installedOf(profile.value, random.fork('installed')) };
}

/** What a file does not give differs from its default by so much at most, as drawings and workshops do (choice of this project). */
const spread = 0.15;

function installedOf(profile: Profile, random: Random): Profile {
  const { alarmLine, chamber, prime } = defaultFigures;
  const about = (usual: number): number => usual * within(random, 1 - spread, 1 + spread);
  const bore_m = about(prime.bore_m);
  const chamber_m3 = about(chamber.volume_m3);
  const line_m3 = about(alarmLine.volume_m3);
  const hole_m = about(alarmLine.hole.bore_m);
  const { trim } = profile;
  return {
    ...profile,
    trim: {
      ...trim,
      primeOrifice: trim.primeOrifice ?? bore_m,
      primeChamberVolume: trim.primeChamberVolume ?? chamber_m3,
      alarmLineVolume: trim.alarmLineVolume ?? line_m3,
      bleedHole: trim.bleedHole ?? hole_m,
    },
  };
}

/** A riser with a gauge that was added on site and not to its file. */
export function withUnwrittenGauge({ installed, ...riser }: RandomRiser): RandomRiser {
  const number = Math.max(...installed.points.map(({ point }) => point)) + 1;
  const gauge = { point: number, signal: 'supply-pressure', releases: true } as const;
  return { ...riser, installed: { ...installed, points: [...installed.points, gauge] } };
}

/** How often a riser has a point of a signal (choices of this project). */
const chances: readonly (readonly [SignalName, number])[] = [
  ['manual-pull', 1],
  ['heat', 0.7],
  ['smoke', 0.25],
  ['flame', 0.25],
  ['waterflow', 1],
  ['supply-valve', 0.93],
  ['prime-pressure-low', 0.87],
  ['solenoid', 0.87],
  ['release-disconnect', 0.6],
  ['prime-valve', 0.3],
  ['alarm-line-valve', 0.35],
  ['supply-pressure-low', 0.4],
  ['supply-pressure', 0.1],
  ['system-pressure', 0.08],
  ['prime-pressure', 0.08],
  ['flow', 0.05],
];

function pointsOf(random: Random, mustHave: readonly SignalName[]): readonly string[] {
  const signals = chances.filter(([signal, chance]) => happens(random, chance) || mustHave.includes(signal));
  const first = oneOf(random, [0, 1, 11, 101]);
  return signals.map(([signal], index) => `  - { point: ${String(first + index)}, signal: ${signal} }`);
}

function hydraulicsOf(random: Random): readonly string[] {
  const static_psi = within(random, 70, 150);
  const acts_psi = within(random, 4, 8);
  const round = (value: number, digits = 1): string => value.toFixed(digits);
  const trim = [
    `primeOrifice: ${round(within(random, 0.094, 0.1875), 4)} in`,
    `primeChamberVolume: ${round(within(random, 1, 8))} L`,
    `alarmLineVolume: ${round(within(random, 0.3, 1.5), 2)} L`,
    `bleedHole: ${round(within(random, 0.045, 0.094), 4)} in`,
    `primeLowBelow: ${round(static_psi * within(random, 0.7, 0.85))} psi`,
    `waterflowAbove: ${round(acts_psi)} psi`,
    `waterflowRestoresBelow: ${round(acts_psi * within(random, 0.5, 0.75))} psi`,
    `alarmTestSource: ${happens(random, 0.85) ? 'upstream' : 'downstream'}`,
  ].filter(() => happens(random, 0.6));
  // The two set points of one switch belong together.
  const whole = trim.filter(
    (each) => !each.startsWith('waterflow') || trim.filter((other) => other.startsWith('waterflow')).length === 2,
  );
  return [
    `supply: { static: ${round(static_psi)} psi, residual: ${round(static_psi * within(random, 0.7, 0.9))} psi, at: ${round(within(random, 800, 1_500), 0)} gpm }`,
    `nozzles: { count: ${String(random.between(12, 30))}, k: ${round(oneOf(random, [2.8, 4.2, 5.6, 8]))} gpm/psi^0.5 }`,
    ...(happens(random, 0.5)
      ? [
          `riserPipe: { diameter: ${oneOf(random, ['4.026', '6.065', '7.981'])} in, height: ${round(within(random, 12, 35))} ft }`,
        ]
      : []),
    ...(whole.length === 0 ? [] : [`trim: { ${whole.join(', ')} }`]),
  ];
}

function panelOf(random: Random): readonly string[] {
  const panel = [
    ...(happens(random, 0.25) ? ['restorals: reset'] : []),
    ...(happens(random, 0.12) ? ['supervisoryRestorals: reset'] : []),
    ...(happens(random, 0.4) ? [`releaseDelaySeconds: ${String(oneOf(random, [2, 5, 15, 30]))}`] : []),
    ...(happens(random, 0.4) ? [`waterflowRetardSeconds: ${String(oneOf(random, [5, 10, 20, 45]))}`] : []),
    ...(happens(random, 0.2) ? ['refusesResetWhileActive: true'] : []),
  ];
  const latency_s = oneOf(random, [5, 10, 10, 10, 15]);
  const supervision_s = oneOf(random, [1_800, 3_600, 3_600, 7_000]);
  return [
    ...(panel.length === 0 ? [] : [`panel: { ${panel.join(', ')} }`]),
    `link: { supervisionSeconds: ${String(supervision_s)}, latencySeconds: ${String(latency_s)} }`,
  ];
}
