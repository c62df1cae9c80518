import type { SignalClass, SignalName } from '@tidemark/words';

/** What an event code means in our vocabulary. */
export interface CodeMeaning {
  /** Among the signals of these classes the profile's point list decides (CONTRACT 2); empty where no point is meant. */
  readonly classes: readonly SignalClass[];
  /** What it may be where the point list says nothing; the first is the code's own signal. */
  readonly signals: readonly [SignalName, ...SignalName[]];
}

interface Row extends CodeMeaning {
  readonly codes: readonly string[];
  /** Why so, where the name of the code alone does not say it. */
  readonly because?: string;
}

const alarm = ['alarm'] as const;
const supervisory = ['supervisory'] as const;
const trouble = ['trouble'] as const;
const panel = [] as const;

/**
 * Event codes (DC-05 appendix C, FACTS 5A) and the signals they become. A code that is not here is refused as
 * `code-not-mapped` and kept in quarantine; those one might look for are listed in `unmapped`.
 */
const rows: readonly Row[] = [
  {
    codes: ['110'],
    classes: ['alarm', 'release'],
    signals: ['initiating'],
    because: 'fire, unspecified. DC-05 has no code for the release, so on the point of the solenoid it means that',
  },
  { codes: ['111'], classes: alarm, signals: ['smoke'] },
  {
    codes: ['112'],
    classes: alarm,
    signals: ['initiating'],
    because: 'combustion: smoke, gas and heat detectors are all sold under that name',
  },
  { codes: ['113'], classes: alarm, signals: ['waterflow'] },
  { codes: ['114'], classes: alarm, signals: ['heat'] },
  { codes: ['115'], classes: alarm, signals: ['manual-pull'] },
  { codes: ['116'], classes: alarm, signals: ['smoke'], because: 'a duct detector is a smoke detector in a duct' },
  { codes: ['117'], classes: alarm, signals: ['flame'] },
  {
    codes: ['159'],
    classes: supervisory,
    signals: ['low-temperature'],
    because: 'listed with non-burglary alarms, but a cold riser room is supervisory in fire protection',
  },
  {
    codes: ['200', '210'],
    classes: supervisory,
    signals: ['panel-supervisory'],
    because: 'fire supervisory, unspecified: without a point all that is known is that the panel has one',
  },
  { codes: ['201'], classes: supervisory, signals: ['supply-pressure-low', 'prime-pressure-low'] },
  {
    codes: ['203'],
    classes: supervisory,
    signals: ['supply-valve', 'prime-valve', 'alarm-line-valve'],
    because: 'gate valve sensor: the supply valve is the one that every supervised riser has',
  },
  {
    codes: ['300', '303', '304', '307', '308', '312', '330', '333', '334'],
    classes: trouble,
    signals: ['panel-fault'],
    because: 'system, memory, self-test, shutdown, power supply over-current, peripheral, expander, repeater',
  },
  {
    codes: ['321', '322', '323', '324', '325', '326', '327'],
    classes: trouble,
    signals: ['panel-fault'],
    because: 'bells, relays and notification circuits: outputs of the panel that release nothing',
  },
  { codes: ['301', '337'], classes: trouble, signals: ['ac-power'] },
  { codes: ['302', '309', '311', '338'], classes: trouble, signals: ['battery'] },
  { codes: ['310'], classes: trouble, signals: ['earth-fault'] },
  {
    codes: ['320'],
    classes: trouble,
    signals: ['release-circuit'],
    because: 'sounder/relay: on a releasing panel the relay circuit that matters is the release',
  },
  {
    codes: ['350', '351', '352', '353', '354', '355', '356', '357'],
    classes: trouble,
    signals: ['communication'],
  },
  {
    codes: ['331', '332', '370', '371', '372', '373', '380', '381', '382', '389'],
    classes: trouble,
    signals: ['initiating-circuit'],
    because: 'loop open or short, fire trouble, sensor trouble or lost: the circuit that should initiate may not',
  },
  {
    codes: ['305', '313'],
    classes: panel,
    signals: ['reset'],
    because: 'reset of the system, by a user or with an engineer’s authority: information, not a trouble',
  },
  { codes: ['912'], classes: panel, signals: ['silence'], because: 'from later public tables, not in DC-05-1999.09' },
  {
    codes: ['604', '607'],
    classes: panel,
    signals: ['test-mode'],
    because: 'fire test and walk test: signals until the restoral may be the tester’s',
  },
  {
    codes: ['601', '602', '608'],
    classes: panel,
    signals: ['periodic-test'],
    because: 'manual, periodic, periodic with trouble present: each proves the link; the trouble is reported by itself',
  },
];

/** Codes that come near our subject and are left unmapped on purpose, with the reason a reader of the quarantine is told. */
const unmapped: Readonly<Record<string, string>> = {
  '118': 'near alarm: a detector close to its threshold has not alarmed',
  '151': 'gas: not a fire alarm of this riser',
  '154': 'water leakage: not sprinkler flow',
  '158': 'high temperature: not a heat detector in alarm',
  '202': 'low carbon dioxide: not a water system',
  '204': 'low water level: a tank is not part of the riser',
  '205': 'pump running: the pump is not part of the riser',
  '206': 'pump failure: the pump is not part of the riser',
  '306': 'program changed: no state of the riser',
  '520': 'sounder or relay disabled: does not say that the release is',
  '570': 'bypass: the point stays as last reported',
  '571': 'fire bypass: the point stays as last reported',
  '605': 'announces a report: says nothing itself',
  '913': 'supervisory point test: does not say which way the point went',
};

const meanings = new Map<string, CodeMeaning>(
  rows.flatMap((row) => row.codes.map((code): [string, CodeMeaning] => [code, row])),
);

/** What a code means; `undefined` where the vocabulary has no signal for it. */
export const meaningOf = (code: string): CodeMeaning | undefined => meanings.get(code);

/** Why a code has no signal here. */
export const whyUnmapped = (code: string): string =>
  (Object.hasOwn(unmapped, code) ? unmapped[code] : undefined) ?? 'the vocabulary has no signal for it';

/** The code that says a signal, and whether the receiver needs the point list to read it back; the sender's side of `rows`. */
export const codeOf: Readonly<Partial<Record<SignalName, string>>> = {
  'manual-pull': '115',
  heat: '114',
  smoke: '111',
  flame: '117',
  initiating: '110',
  waterflow: '113',
  'supply-valve': '203',
  'prime-valve': '203',
  'alarm-line-valve': '203',
  'prime-pressure-low': '201',
  'supply-pressure-low': '201',
  'pilot-air-low': '200',
  'low-temperature': '159',
  'release-disconnect': '200',
  'release-circuit': '320',
  'initiating-circuit': '373',
  'ac-power': '301',
  battery: '302',
  'earth-fault': '310',
  'panel-fault': '300',
  communication: '350',
  solenoid: '110',
  'panel-supervisory': '200',
  silence: '912',
  reset: '305',
  'test-mode': '607',
  'periodic-test': '602',
};
