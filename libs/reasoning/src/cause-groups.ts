import type { CauseId } from '@tidemark/words';
import type { Condition } from './condition.ts';
import type { CauseGroup } from './finding.ts';
import type { FindingCode } from '@tidemark/words';

/** A group that the signals so far cannot split, its share among the causes of its code, and the check that would settle it. */
interface Candidate {
  readonly causes: readonly CauseId[];
  readonly weight: number;
  readonly check: string;
}

/**
 * What is left to "something else". No usable public table of failure frequencies was found (MODEL 4.8), so the weights
 * below are choices of this project: even between groups, except where the witnesses of the truth table speak.
 */
const somethingElse = 0.1;

const releasePath: Candidate = {
  causes: ['solenoid-coil-open', 'release-output-dead', 'solenoid-stuck-shut', 'release-wiring-fault'],
  weight: 3,
  check:
    'Operate the local manual release, if there is a fire or the site agrees to discharge: if the valve trips, the fault is electrical or in the solenoid; then measure the coil voltage at alarm.',
};
const valveOrLine: Candidate = {
  causes: [
    'valve-stuck-shut',
    'alarm-line-plugged',
    'supply-shut-unseen',
    'prime-orifice-oversize',
    'solenoid-port-plugged',
  ],
  weight: 2,
  check:
    'Read the outlet gauge or crack the auxiliary drain: water there means the alarm line; none means the valve or the supply, told apart by the gauge below the valve.',
};
const lineIsolated: Candidate = {
  causes: ['alarm-line-isolated', 'flow-switch-stuck-normal'],
  weight: 2,
  check:
    'Look at the isolating valve of the alarm line; if it is open, see whether water stands under pressure at the switch.',
};
const linePressure: Candidate = {
  causes: ['bleed-hole-plugged', 'alarm-test-valve-leaking', 'flow-switch-stuck-active', 'alarm-line-isolated'],
  weight: 2,
  check:
    'Read the gauge on the alarm line: no pressure means a stuck switch; steady pressure a plugged bleed hole or a shut valve; a few psi a leaking test valve.',
};
const ventSide: Candidate = {
  causes: ['solenoid-stuck-open', 'manual-release-left-open', 'relief-stuck-open', 'prime-chamber-leaking'],
  weight: 1,
  check:
    'Look at the release drain: running, the vent side is open; isolate or feel solenoid, manual release and relief one by one.',
};
const primeSide: Candidate = {
  causes: ['prime-valve-shut', 'prime-line-plugged'],
  weight: 1,
  check:
    'Look at the release drain: dry, priming water does not arrive. Check the priming valve first, then strainer and orifice.',
};
const deviceDead: Candidate = {
  causes: ['initiating-device-dead', 'initiating-circuit-open'],
  weight: 1,
  check: 'Ask the panel which zone it shows in alarm, and test the devices of that zone.',
};
const device: Candidate = {
  causes: ['initiating-device-stuck', 'reset-too-early'],
  weight: 2,
  check: 'Have the device looked at: is it still operated, hot or wet?',
};
const link: Candidate = {
  causes: ['link-lost', 'link-reordered'],
  weight: 1,
  check: 'Force a test signal from the panel and see whether it arrives.',
};

const byCode: Readonly<Record<FindingCode, (variant: string | undefined) => readonly Candidate[]>> = {
  'flow-with-supply-closed': (variant) => [
    {
      causes: ['supply-partly-shut', 'supply-valve-passing'],
      weight: variant === 'outlasts' ? 2 : 3,
      check: 'Ask whether water runs hard from the main drain: if it does, the supply valve is open at least in part.',
    },
    ...(variant === 'outlasts'
      ? [
          {
            causes: ['drains-not-opened', 'drains-opened-late'],
            weight: 2,
            check: 'Ask whether the drains are open.',
          } satisfies Candidate,
        ]
      : []),
    linePressure,
    {
      causes: ['supply-switch-stuck-active', 'supply-switch-misset'],
      weight: 1,
      check: 'Read the position of the valve itself and compare with its switch.',
    },
    ...(variant === 'after-reset'
      ? [
          { ...primeSide, weight: 2 },
          { ...ventSide, weight: 2 },
        ]
      : []),
  ],
  'reset-before-clear': () => [
    {
      causes: ['reset-too-early'],
      weight: 4,
      check: 'Ask the crew whether the device was restored before they reset.',
    },
    { ...device, causes: ['initiating-device-stuck'], weight: 1 },
  ],
  're-alarm-after-reset': () => [device, { ...linePressure, weight: 1 }],
  'release-without-flow': (variant) =>
    variant === 'prime-lost' ? [{ ...valveOrLine, weight: 3 }, lineIsolated] : [releasePath, valveOrLine, lineIsolated],
  'release-while-isolated': () => [
    { causes: ['step-skipped'], weight: 2, check: 'Ask who closed the supply valve and why.' },
    {
      causes: ['supply-switch-stuck-active', 'supply-switch-misset'],
      weight: 1,
      check: 'Read the position of the valve itself.',
    },
  ],
  'flow-without-release': (variant) =>
    variant === 'prime-lost'
      ? [
          {
            causes: ['manual-release-operated'],
            weight: 3,
            check: 'Ask whether somebody used the local manual release.',
          },
          {
            ...ventSide,
            causes: ['prime-chamber-leaking', 'solenoid-leaking', 'manual-release-leaking', 'relief-stuck-open'],
            weight: 2,
          },
          {
            ...primeSide,
            causes: ['prime-valve-shut', 'prime-line-plugged', 'supply-dip', 'prime-check-leaking', 'seat-weeping'],
            weight: 2,
          },
        ]
      : [
          {
            causes: ['alarm-test-valve-leaking', 'alarm-test-valve-left-open'],
            weight: 3,
            check: 'Ask whether somebody is testing; then look at the alarm test valve.',
          },
          { ...linePressure, causes: ['flow-switch-stuck-active', 'flow-switch-chatter'], weight: 2 },
          {
            causes: ['seat-weeping', 'drip-plugged'],
            weight: 1,
            check: 'Look for water at the automatic drip and crack the auxiliary drain.',
          },
        ],
  'alarm-without-release': () => [
    { ...releasePath, causes: ['release-output-dead', 'release-wiring-fault', 'solenoid-coil-open'] },
    {
      causes: ['release-left-disabled'],
      weight: 1,
      check: 'Ask what the panel shows for the release: armed or disabled.',
    },
  ],
  'release-without-alarm': () => [
    { ...deviceDead, weight: 1 },
    {
      causes: ['release-output-dead', 'release-wiring-fault'],
      weight: 1,
      check: 'Ask the panel for the reason of its release.',
    },
  ],
  'release-disabled': () => [
    {
      causes: ['release-left-disabled'],
      weight: 4,
      check: 'Ask who operated the disconnect switch, and whether the work is done.',
    },
  ],
  'prime-low-before-trip': () => [
    {
      ...ventSide,
      causes: ['prime-chamber-leaking', 'solenoid-leaking', 'manual-release-leaking', 'relief-stuck-open'],
      weight: 2,
    },
    {
      ...primeSide,
      causes: ['prime-valve-shut', 'prime-line-plugged', 'prime-check-leaking', 'supply-dip'],
      weight: 2,
    },
    {
      causes: ['prime-switch-set-high', 'prime-switch-stuck-active', 'supply-static-low'],
      weight: 1,
      check: 'Read the chamber gauge: full pressure there means the switch.',
    },
  ],
  'prime-not-restored': () => [
    primeSide,
    ventSide,
    {
      causes: ['drains-not-opened', 'reset-before-drained'],
      weight: 1,
      check: 'Ask whether the piping was drained: standing water keeps the relief open.',
    },
    { causes: ['prime-switch-set-high', 'prime-switch-stuck-active'], weight: 1, check: 'Read the chamber gauge.' },
  ],
  'solenoid-not-released': () => [
    { causes: ['initiating-device-stuck'], weight: 1, check: 'Ask what the panel shows in alarm.' },
    {
      causes: ['release-wiring-fault', 'solenoid-stuck-open'],
      weight: 2,
      check: 'Measure the voltage at the coil: present means the panel still drives it.',
    },
  ],
  'supply-left-closed': () => [
    { causes: ['step-skipped'], weight: 3, check: 'Ask who closed the valve and have it looked at.' },
    {
      causes: ['supply-switch-stuck-active', 'supply-switch-misset', 'supply-switch-vibrating'],
      weight: 1,
      check: 'Count the turns to fully open; the switch must restore there.',
    },
  ],
  'supervisory-missing': () => [
    { causes: ['supply-weak', 'supply-dip'], weight: 2, check: 'Read the supply gauge.' },
    {
      causes: ['supply-switch-stuck-normal', 'supply-shut-unseen'],
      weight: 2,
      check: 'Ask whether somebody closed the valve: if so, its switch is dead.',
    },
    { causes: ['relief-stuck-shut'], weight: 1, check: 'Ask whether the panel was reset while water flowed.' },
  ],
  'supervisory-not-restored': () => [
    {
      causes: ['step-skipped', 'supply-partly-shut'],
      weight: 3,
      check: 'Have the valve turned to fully open, counting the turns.',
    },
    {
      causes: ['supply-switch-stuck-active', 'supply-switch-misset', 'supervisory-latching'],
      weight: 1,
      check: 'With the valve fully open, look at the switch and at the panel.',
    },
  ],
  'flow-not-restored': () => [
    linePressure,
    {
      causes: ['alarm-test-valve-left-open', 'flow-switch-reset-low', 'drain-check-leaking'],
      weight: 2,
      check: 'See whether the alarm test valve is fully shut.',
    },
  ],
  'alarm-test-without-flow': () => [
    lineIsolated,
    {
      causes: ['alarm-line-plugged', 'flow-retard-misset', 'flow-switch-set-high'],
      weight: 1,
      check: 'Repeat the test and read the gauge at the switch.',
    },
    { causes: ['step-skipped'], weight: 1, check: 'Ask whether the test valve was really opened.' },
  ],
  'incomplete-restoration': () => [
    { causes: ['step-skipped'], weight: 3, check: 'Ask the site what was left undone.' },
    { causes: ['restorals-not-sent', 'link-lost'], weight: 1, check: 'Compare with what the panel shows.' },
  ],
  chattering: () => [
    {
      causes: ['flow-switch-chatter', 'supply-switch-vibrating'],
      weight: 2,
      check: 'Look at the switch, its setting and its wiring.',
    },
    { causes: ['supply-dip', 'supply-surge'], weight: 1, check: 'Watch the supply gauge for pulsing.' },
  ],
  'stale-link': () => [
    { causes: ['link-lost'], weight: 3, check: 'Call the site and force a test signal.' },
    { causes: ['panel-power-lost'], weight: 1, check: 'Ask whether the panel has power.' },
  ],
  'sequence-gap': () => [
    { causes: ['link-lost', 'repeats-suppressed'], weight: 3, check: 'Compare with the event record at the panel.' },
  ],
  'out-of-order': () => [
    {
      causes: ['link-stored-signals', 'link-reordered'],
      weight: 3,
      check: 'Ask whether the path was down at the time.',
    },
  ],
  'clock-skew': () => [
    { causes: ['clock-offset', 'clock-drift'], weight: 4, check: 'Compare the clock of the panel with a reference.' },
  ],
  'trouble-unattended': (variant) => [
    {
      causes:
        variant === 'ac-power' || variant === 'battery'
          ? ['panel-power-lost']
          : variant === 'initiating-circuit'
            ? ['initiating-circuit-open']
            : variant === 'release-circuit'
              ? ['release-wiring-fault', 'solenoid-coil-open']
              : ['link-lost'],
      weight: 2,
      check: 'Read the trouble at the panel.',
    },
  ],
  'impairment-overdue': () => [],
  'early-signal': (variant) => [
    ...(variant === 'waterflow'
      ? [
          {
            causes: ['flow-retard-misset'],
            weight: 2,
            check: 'Compare the delay set at the switch or panel with the profile.',
          } satisfies Candidate,
        ]
      : []),

    {
      causes: ['clock-drift', 'link-reordered', 'bleed-hole-oversize'],
      weight: 1,
      check: 'Compare two points on the clock of the same panel.',
    },
  ],
  'late-signal': (variant) =>
    variant === 'waterflow'
      ? [
          {
            causes: [
              'supply-partly-shut',
              'supply-weak',
              'solenoid-port-plugged',
              'alarm-line-plugged',
              'flow-retard-misset',
            ],
            weight: 2,
            check: 'Compare supply and inlet gauges while water flows.',
          },
        ]
      : variant === 'return of priming pressure'
        ? [
            {
              causes: ['prime-line-plugged', 'prime-air-trapped', 'solenoid-port-plugged'],
              weight: 2,
              check: 'Measure the refill after operating the manual release.',
            },
          ]
        : [
            {
              causes: ['solenoid-port-plugged', 'release-output-dead'],
              weight: 1,
              check: 'Follow the time from alarm to release over the last tests.',
            },
          ],
  'silent-point': (variant) => [
    variant === 'prime'
      ? {
          causes: ['prime-switch-stuck-normal', 'prime-switch-set-low'],
          weight: 3,
          check: 'Bleed the priming switch and see whether it reports.',
        }
      : {
          causes: ['manual-release-operated'],
          weight: 2,
          check: 'Ask whether somebody used the local manual release.',
        },
    { ...link, causes: ['repeats-suppressed', 'link-lost'], weight: 1 },
  ],
  'points-swapped': () => [
    { causes: ['points-swapped'], weight: 4, check: 'Operate one of the points and see under which name it reports.' },
  ],
  // A list that differs is no fault of the riser's; nothing seen here says which of the two is wrong.
  'unknown-point': () => [],
};

/** The ranked groups of a condition; probabilities sum to at most 1, the rest is something else. */
export function causesOf(condition: Condition, linkStale: boolean): readonly CauseGroup[] {
  const candidates = [...byCode[condition.code](condition.variant), ...(linkStale ? [{ ...link, weight: 2 }] : [])];
  const total = candidates.reduce((sum, { weight }) => sum + weight, 0);
  return candidates
    .map(({ causes, weight, check }) => ({
      causes,
      probability: Math.round(((1 - somethingElse) * weight * 100) / total) / 100,
      check,
    }))
    .sort((one, other) => other.probability - one.probability);
}
