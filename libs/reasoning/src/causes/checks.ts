import type { CauseId } from '@tidemark/words';

/** One observation or test on site, and what each of its outcomes would mean. */
export interface Check {
  readonly id: string;
  readonly ask: string;
  /** What may be found, and the causes under which it is found. */
  readonly outcomes: Readonly<Record<string, readonly CauseId[]>>;
  /** It discharges water or works on the release: another check of equal worth goes first. */
  readonly costly?: true;
}

/** The checks of MODEL 4.8 and common practice of the trade. A cause in none of a check's outcomes is left untouched by it. */
export const checks: readonly Check[] = [
  {
    id: 'manual-release',
    ask: 'Operate the local manual release, if there is a fire or the site agrees to discharge: if the valve trips, the fault is electrical or in the solenoid.',
    costly: true,
    outcomes: {
      'the valve trips': [
        'solenoid-coil-open',
        'release-wiring-fault',
        'release-output-dead',
        'solenoid-stuck-shut',
        'solenoid-port-plugged',
        'release-left-disabled',
      ],
      'nothing happens': ['valve-stuck-shut', 'supply-shut-unseen', 'prime-orifice-oversize', 'manual-release-jammed'],
      'water runs unreported': ['alarm-line-plugged', 'alarm-line-isolated', 'flow-switch-stuck-normal'],
    },
  },
  {
    id: 'coil-voltage',
    ask: 'Measure the voltage at the solenoid while the panel shows its release as active.',
    outcomes: {
      present: ['solenoid-coil-open', 'solenoid-stuck-shut', 'solenoid-port-plugged'],
      absent: ['release-output-dead', 'release-wiring-fault', 'release-left-disabled', 'panel-power-lost'],
    },
  },
  {
    id: 'coil-resistance',
    ask: 'Measure the resistance of the coil.',
    outcomes: {
      infinite: ['solenoid-coil-open'],
      ordinary: ['solenoid-stuck-shut', 'solenoid-port-plugged', 'release-output-dead', 'release-wiring-fault'],
    },
  },
  {
    id: 'outlet-gauge',
    ask: 'Read the outlet gauge or crack the auxiliary drain: water there means the alarm line or its switch; none means the valve or the supply, told apart by the gauge below the valve.',
    outcomes: {
      water: [
        'alarm-line-plugged',
        'alarm-line-isolated',
        'flow-switch-stuck-normal',
        'flow-switch-set-high',
        'flow-retard-misset',
        'link-lost',
        'seat-weeping',
        'drip-plugged',
        'drains-not-opened',
        'supply-valve-passing',
        'reset-before-drained',
      ],
      dry: [
        'valve-stuck-shut',
        'supply-shut-unseen',
        'prime-orifice-oversize',
        'solenoid-port-plugged',
        'solenoid-coil-open',
        'release-wiring-fault',
        'release-output-dead',
        'solenoid-stuck-shut',
        'flow-switch-stuck-active',
        'alarm-test-valve-leaking',
        'alarm-test-valve-left-open',
        'bleed-hole-plugged',
      ],
    },
  },
  {
    id: 'inlet-gauge',
    ask: 'Read the gauge below the valve and the supply gauge: none below means a shut supply valve; a wide difference while water flows a valve partly shut; both low a weak supply.',
    outcomes: {
      'none below the valve': ['supply-shut-unseen', 'step-skipped'],
      'wide difference': ['supply-partly-shut'],
      'both low': ['supply-weak', 'supply-static-low', 'supply-dip'],
      ordinary: [
        'valve-stuck-shut',
        'prime-orifice-oversize',
        'solenoid-port-plugged',
        'alarm-line-plugged',
        'flow-switch-set-high',
        'flow-retard-misset',
        'supply-switch-stuck-normal',
        'supply-switch-stuck-active',
        'supply-switch-misset',
      ],
    },
  },
  {
    id: 'isolating-valve',
    ask: 'Look at the isolating valve of the alarm line; if it is open, see whether water stands under pressure at the switch.',
    outcomes: {
      'the valve is shut': ['alarm-line-isolated'],
      'pressure at the switch': [
        'flow-switch-stuck-normal',
        'flow-switch-set-high',
        'flow-retard-misset',
        'bleed-hole-plugged',
        'alarm-test-valve-leaking',
      ],
      'no pressure at the switch': [
        'alarm-line-plugged',
        'valve-stuck-shut',
        'step-skipped',
        'flow-switch-stuck-active',
      ],
    },
  },
  {
    id: 'line-gauge',
    ask: 'Read the gauge on the alarm line: no pressure means a stuck switch; steady pressure a plugged bleed hole or a shut valve; a few psi a leaking test valve.',
    outcomes: {
      none: [
        'flow-switch-stuck-active',
        'flow-switch-chatter',
        'restorals-not-sent',
        'flow-switch-reset-low',
        'link-lost',
      ],
      'steady, as left': ['bleed-hole-plugged', 'alarm-line-isolated'],
      'a few psi': ['alarm-test-valve-leaking', 'drain-check-leaking'],
      full: [
        'alarm-test-valve-left-open',
        'seat-weeping',
        'drip-plugged',
        'supply-valve-passing',
        'supply-partly-shut',
        'drains-not-opened',
        'drains-opened-late',
        'supply-switch-stuck-active',
      ],
    },
  },
  {
    id: 'release-drain',
    ask: 'Look at the release drain: running, the vent side is open (solenoid, manual release, relief, one by one); dry, priming water does not arrive (priming valve first, then strainer and orifice).',
    outcomes: {
      running: [
        'solenoid-stuck-open',
        'manual-release-left-open',
        'manual-release-operated',
        'manual-release-leaking',
        'solenoid-leaking',
        'relief-stuck-open',
        'prime-chamber-leaking',
        'drains-not-opened',
        'drains-opened-late',
        'reset-before-drained',
      ],
      dry: [
        'prime-valve-shut',
        'prime-line-plugged',
        'prime-check-leaking',
        'prime-switch-set-high',
        'prime-switch-stuck-active',
        'supply-static-low',
        'supply-dip',
        'prime-air-trapped',
      ],
    },
  },
  {
    id: 'prime-valve',
    ask: 'Look whether the priming valve is fully open.',
    outcomes: {
      shut: ['prime-valve-shut', 'step-skipped'],
      open: ['prime-line-plugged', 'prime-chamber-leaking', 'prime-switch-set-high', 'prime-switch-stuck-active'],
    },
  },
  {
    id: 'chamber-gauge',
    ask: 'Read the gauge of the priming chamber: full pressure means the switch or its setting; less, a leak, or priming water that does not arrive.',
    outcomes: {
      full: ['prime-switch-set-high', 'prime-switch-stuck-active', 'restorals-not-sent', 'link-lost'],
      low: [
        'prime-chamber-leaking',
        'solenoid-leaking',
        'manual-release-leaking',
        'prime-valve-shut',
        'prime-line-plugged',
        'prime-check-leaking',
        'relief-stuck-open',
        'supply-static-low',
        'supply-dip',
        'solenoid-stuck-open',
        'manual-release-left-open',
      ],
      'near the trip point at a release': ['prime-orifice-oversize', 'solenoid-port-plugged'],
    },
  },
  {
    id: 'somebody-there',
    ask: 'Ask whether anybody is working or testing at the riser, or used the local manual release.',
    outcomes: {
      'somebody used the release': ['manual-release-operated', 'manual-release-left-open'],
      'somebody is testing': ['alarm-test-valve-left-open', 'step-skipped', 'release-left-disabled'],
      nobody: [
        'prime-chamber-leaking',
        'solenoid-leaking',
        'manual-release-leaking',
        'relief-stuck-open',
        'alarm-test-valve-leaking',
        'flow-switch-stuck-active',
        'seat-weeping',
        'drip-plugged',
        'supply-dip',
        'supply-surge',
        'prime-check-leaking',
        'prime-valve-shut',
        'flow-switch-chatter',
      ],
    },
  },
  {
    id: 'automatic-drip',
    ask: 'Look for water at the automatic drip and crack the auxiliary drain.',
    outcomes: {
      'water runs': ['seat-weeping', 'supply-valve-passing'],
      'water behind a dry drip': ['drip-plugged'],
      dry: [
        'flow-switch-stuck-active',
        'alarm-test-valve-leaking',
        'alarm-test-valve-left-open',
        'flow-switch-chatter',
      ],
    },
  },
  {
    id: 'supply-valve-turns',
    ask: 'Have the supply valve turned to fully open, counting the turns: the switch must restore only there.',
    outcomes: {
      'it was not fully open': ['supply-partly-shut', 'supply-shut-unseen', 'step-skipped'],
      'fully open, and the switch follows the turns late or early': ['supply-switch-misset', 'supply-switch-vibrating'],
      'fully open, and the switch says nothing': [
        'supply-switch-stuck-active',
        'supply-switch-stuck-normal',
        'supervisory-latching',
        'restorals-not-sent',
        'link-lost',
      ],
    },
  },
  {
    id: 'who-closed-it',
    ask: 'Ask who closed the supply valve and why, and what was left undone.',
    outcomes: {
      'somebody did': [
        'step-skipped',
        'supply-switch-stuck-normal',
        'supply-shut-unseen',
        'supply-partly-shut',
        'supply-valve-passing',
        'drains-not-opened',
      ],
      nobody: [
        'supply-switch-stuck-active',
        'supply-switch-misset',
        'supply-switch-vibrating',
        'supply-weak',
        'supply-dip',
        'link-lost',
        'restorals-not-sent',
      ],
    },
  },
  {
    id: 'main-drain',
    ask: 'Ask whether the drains are open and water runs from the main drain: hard, the supply valve is open at least in part; weakly, it passes; not at all, the drains or the alarm line.',
    outcomes: {
      hard: ['supply-partly-shut', 'supply-switch-stuck-active', 'supply-switch-misset'],
      weakly: ['supply-valve-passing'],
      'the drains are shut': ['drains-not-opened', 'drains-opened-late', 'reset-before-drained'],
      'open and dry': [
        'bleed-hole-plugged',
        'flow-switch-stuck-active',
        'alarm-test-valve-leaking',
        'alarm-test-valve-left-open',
        'alarm-line-isolated',
        'flow-switch-reset-low',
        'restorals-not-sent',
        'link-lost',
      ],
    },
  },
  {
    id: 'supply-gauge',
    ask: 'Read the supply gauge, now and while water runs.',
    outcomes: {
      low: ['supply-weak', 'supply-static-low', 'supply-dip'],
      'pulsing or high': ['supply-surge'],
      ordinary: [
        'supply-switch-stuck-normal',
        'supply-shut-unseen',
        'prime-check-leaking',
        'prime-switch-set-high',
        'prime-switch-stuck-active',
        'prime-chamber-leaking',
        'relief-stuck-shut',
        'pipe-broken',
        'flow-switch-chatter',
        'supply-switch-vibrating',
      ],
    },
  },
  {
    id: 'device',
    ask: 'Have the device looked at: is it still operated, hot or wet, or was it restored before the reset?',
    outcomes: {
      'still operated': ['reset-too-early'],
      'at rest, and the panel sees it in alarm': ['initiating-device-stuck', 'restorals-not-sent'],
    },
  },
  {
    id: 'panel-display',
    ask: 'Ask what the panel shows: which zone in alarm, the release armed or disabled, and the reason of its release.',
    outcomes: {
      'a zone that was not reported': ['initiating-device-dead', 'link-lost', 'repeats-suppressed'],
      'release disabled': ['release-left-disabled'],
      'a trouble': ['initiating-circuit-open', 'release-wiring-fault', 'solenoid-coil-open', 'panel-power-lost'],
      'alarm silenced, not reset': ['panel-left-silenced'],
      'nothing of it': ['release-output-dead', 'manual-release-operated', 'solenoid-stuck-open'],
      'release still active': ['initiating-device-stuck'],
      'latched until the next reset': ['supervisory-latching'],
      'all restored': ['restorals-not-sent'],
    },
  },
  {
    id: 'repeat-test',
    ask: 'Repeat the alarm test with somebody at the gauge of the switch, and time the signal.',
    outcomes: {
      'late by a fixed time': ['flow-retard-misset'],
      'only at full pressure': ['flow-switch-set-high'],
      'it comes in time': ['step-skipped', 'link-lost', 'alarm-line-plugged'],
      'it does not come': ['flow-switch-stuck-normal', 'alarm-line-isolated'],
      'water goes to the piping': ['drain-check-leaking'],
      'it restores late': ['flow-switch-reset-low', 'bleed-hole-plugged'],
      'it restores early': ['bleed-hole-oversize'],
    },
  },
  {
    id: 'test-valve',
    ask: 'See whether the alarm test valve is fully shut.',
    outcomes: {
      open: ['alarm-test-valve-left-open'],
      'shut, and passing': ['alarm-test-valve-leaking'],
      'shut and tight': [
        'bleed-hole-plugged',
        'flow-switch-stuck-active',
        'flow-switch-reset-low',
        'alarm-line-isolated',
        'drain-check-leaking',
      ],
    },
  },
  {
    id: 'refill-time',
    ask: 'Time the refill after operating the manual release, and look at the flow at the release drain meanwhile.',
    costly: true,
    outcomes: {
      'slow, little flow': ['prime-line-plugged'],
      'slow, full flow': ['prime-air-trapped'],
      'in time': ['solenoid-port-plugged', 'clock-drift', 'relief-stuck-shut'],
    },
  },
  {
    id: 'switch-and-wiring',
    ask: 'Look at the switch, its setting and its wiring.',
    outcomes: {
      'loose or at its edge': ['flow-switch-chatter', 'supply-switch-vibrating'],
      'set too low': ['prime-switch-set-low'],
      'dead when bled': ['prime-switch-stuck-normal'],
      sound: ['supply-dip', 'supply-surge'],
    },
  },
  {
    id: 'swap',
    ask: 'Operate one of the points and see under which name it reports.',
    outcomes: { 'under another': ['points-swapped'] },
  },
  {
    id: 'test-signal',
    ask: 'Call the site and force a test signal from the panel: see whether it arrives, when, and whether the panel has power.',
    outcomes: {
      'it does not arrive': ['link-lost'],
      'no power': ['panel-power-lost'],
      'it arrives late': ['link-stored-signals', 'link-reordered'],
      'it arrives at once': ['repeats-suppressed', 'restorals-not-sent', 'link-duplicates'],
    },
  },
  {
    id: 'panel-clock',
    ask: 'Compare the clock of the panel with a reference, now and again tomorrow.',
    outcomes: { 'off by as much': ['clock-offset'], 'off by more': ['clock-drift'] },
  },
  {
    id: 'cracked-open',
    ask: 'Open the supply valve a crack against an open system drain: water at the drain means that the valve has not seated.',
    costly: true,
    outcomes: {
      'water at the drain at once': ['valve-hung-open', 'seat-weeping'],
      'dry, then it trips': [
        'prime-valve-shut',
        'prime-line-plugged',
        'solenoid-stuck-open',
        'manual-release-left-open',
        'relief-stuck-open',
        'prime-chamber-leaking',
      ],
      'dry, and it holds': ['prime-switch-set-high', 'prime-switch-stuck-active', 'restorals-not-sent'],
    },
  },
  {
    id: 'disconnect-switch',
    ask: 'Ask who operated the disconnect switch, and whether the work is done.',
    outcomes: { 'work goes on, or was forgotten': ['release-left-disabled'] },
  },
  {
    id: 'panel-power',
    ask: 'Ask whether the panel has power, from the mains and from its batteries.',
    outcomes: { 'one of them is gone': ['panel-power-lost'] },
  },
  {
    id: 'drains',
    ask: 'Ask whether the drains are open, and whether they have run dry.',
    outcomes: {
      'still shut': ['drains-not-opened'],
      'still running': ['drains-opened-late', 'reset-before-drained', 'supply-valve-passing'],
    },
  },
  {
    id: 'nozzles',
    ask: 'Compare flow and residual pressure of the yearly trip test with the record.',
    outcomes: { lower: ['nozzles-obstructed', 'drain-left-open'], higher: ['pipe-broken'] },
  },
];
