import type { SignalName } from '@tidemark/signals';
import type { CrewStep } from './step.ts';
import type { Spread } from './spread.ts';

/** Until when somebody waits for something before going on without it (choices of this project). */
const patience_s = { water: 300, drains: 900, bleedDown: 300, refill: 120, lamp: 180 } as const;

/** Some minutes of work or of watching (choice of this project). */
const minutes = (least: number, usual: number, most: number): Spread => ({
  least_s: 60 * least,
  usual_s: 60 * usual,
  most_s: 60 * most,
});

const shutDownAndDrain: readonly CrewStep[] = [
  { do: 'close-supply-valve' },
  { name: 'water-stopped', do: 'wait-until', sees: 'nozzles-dry', atMost_s: patience_s.water },
  { do: 'open-system-drain' },
  { do: 'open-auxiliary-drain' },
  { name: 'low-points-empty', do: 'wait-until', sees: 'drains-dry', atMost_s: patience_s.drains },
];

const waterflowBack: CrewStep = {
  name: 'waterflow-back',
  do: 'wait-until',
  sees: { signal: 'waterflow', shows: 'restored' },
  atMost_s: patience_s.bleedDown,
};

const primedAgain: CrewStep = {
  name: 'primed',
  do: 'wait-until',
  sees: 'priming-up',
  atMost_s: patience_s.refill,
};

const reopenAndProve: readonly CrewStep[] = [
  { do: 'close-system-drain' },
  { do: 'close-auxiliary-drain' },
  { do: 'open-supply-valve-slowly' },
  { do: 'open-supply-drain' },
  { name: 'look-at-the-supply', do: 'pause' },
  { do: 'close-supply-drain' },
];

/** Nobody trusts the lamps before the panel has looked at its points again. */
const lastReset: readonly CrewStep[] = [
  { name: 'last-reset', do: 'reset' },
  { name: 'after-the-reset', do: 'pause' },
  { name: 'no-signal-left', do: 'wait-until', sees: 'panel-normal', atMost_s: patience_s.lamp },
];

/** The device that released: its point. */
interface Released {
  readonly point: number;
}

/**
 * From a discharge back to service, in the order of CONTRACT 6: shut, drain, set the device back, reset, prime, reopen
 * slowly, prove the supply at its drain (FACTS 2.12), last reset.
 */
const restoration = ({ point }: Released): readonly CrewStep[] => [
  { do: 'silence' },
  ...shutDownAndDrain,
  waterflowBack,
  { do: 'restore-device', point },
  { do: 'reset' },
  primedAgain,
  ...reopenAndProve,
  ...lastReset,
];

/** Where a test is announced to the station first, and how long its window is open. */
interface Announced {
  readonly forSeconds: number;
}

const announced = (
  { forSeconds }: Announced,
  expect: readonly SignalName[],
  steps: readonly CrewStep[],
): readonly CrewStep[] => [
  { name: 'announce', do: 'tell-station', command: { command: 'test-begin', forSeconds, expect } },
  ...steps,
  { name: 'close-the-test', do: 'tell-station', command: { command: 'test-end' } },
];

/** Water from the test connection to the waterflow switch, until it bleeds down again. */
const alarmTest = (test: Announced): readonly CrewStep[] =>
  announced(
    test,
    ['waterflow'],
    [
      { do: 'open-alarm-test' },
      {
        name: 'waterflow-seen',
        do: 'wait-until',
        sees: { signal: 'waterflow', shows: 'active' },
        atMost_s: patience_s.lamp,
      },
      { do: 'close-alarm-test' },
      waterflowBack,
      ...lastReset,
    ],
  );

/** Full flow from the supply-side drain, to compare the residual pressure; nothing else moves (FACTS 2.12). */
const mainDrainTest = (test: Announced): readonly CrewStep[] =>
  announced(
    test,
    [],
    [
      { do: 'open-supply-drain', takes: { least_s: 5, usual_s: 10, most_s: 30 } },
      { name: 'residual-steady', do: 'pause', takes: minutes(1, 2, 4) },
      { do: 'close-supply-drain', takes: { least_s: 10, usual_s: 20, most_s: 60 } },
      { name: 'static-back', do: 'pause', takes: minutes(0.5, 1, 2) },
    ],
  );

/** The yearly trip with water from every nozzle, and the restoration after it. */
const tripTest = (test: Announced & Released): readonly CrewStep[] =>
  announced(
    test,
    ['waterflow'],
    [
      { do: 'operate-device', point: test.point },
      { name: 'water-seen', do: 'wait-until', sees: 'water-at-nozzles', atMost_s: patience_s.water },
      { name: 'pattern-looked-at', do: 'pause', takes: minutes(1, 2, 5) },
      ...restoration(test),
    ],
  );

/** Every device in turn with the release disconnected, so that no water flows. */
const devicesTest = (test: Announced & { readonly points: readonly number[] }): readonly CrewStep[] =>
  announced(
    test,
    [],
    [
      { do: 'disconnect-release' },
      ...test.points.flatMap((point): readonly CrewStep[] => [
        { do: 'operate-device', point },
        { name: 'alarm-seen', do: 'wait-until', sees: 'panel-alarm', atMost_s: patience_s.lamp },
        { do: 'silence' },
        { do: 'restore-device', point },
        { do: 'reset' },
      ]),
      { do: 'reconnect-release' },
      ...lastReset,
    ],
  );

/** Work on the priming line with the supply shut, declared to the station as a planned impairment. */
const primeValveMaintenance = (): readonly CrewStep[] => [
  {
    name: 'declare',
    do: 'tell-station',
    command: { command: 'impairment-begin', kind: 'planned', reason: 'Priming line maintenance' },
  },
  { do: 'close-supply-valve' },
  { do: 'close-prime-valve' },
  { name: 'work', do: 'pause', takes: minutes(15, 30, 60) },
  { do: 'open-prime-valve' },
  primedAgain,
  { do: 'open-supply-valve-slowly' },
  ...lastReset,
  { name: 'end-declaration', do: 'tell-station', command: { command: 'impairment-end' } },
];

/** The ready-made procedures of a crew, each a script from what the riser and the test are like. */
export const procedures = {
  restoration,
  alarmTest,
  mainDrainTest,
  tripTest,
  devicesTest,
  primeValveMaintenance,
} as const;

/** The name of a ready-made procedure. */
export type ProcedureName = keyof typeof procedures;
