/** Every signal name, by class. The classes follow NFPA 72, 3.3: alarm, supervisory and trouble are distinct (FACTS 1.09). */
export const vocabulary = {
  alarm: ['manual-pull', 'heat', 'smoke', 'flame', 'initiating', 'waterflow'],
  supervisory: [
    'supply-valve',
    'prime-valve',
    'alarm-line-valve',
    'prime-pressure-low',
    'supply-pressure-low',
    'pilot-air-low',
    'low-temperature',
    'release-disconnect',
  ],
  trouble: [
    'release-circuit',
    'initiating-circuit',
    'ac-power',
    'battery',
    'earth-fault',
    'panel-fault',
    'communication',
  ],
  release: ['solenoid'],
  panel: ['panel-alarm', 'panel-supervisory', 'panel-trouble', 'silence', 'reset', 'test-mode', 'periodic-test'],
  reading: ['prime-pressure', 'supply-pressure', 'system-pressure', 'flow'],
} as const;

/** The class of a signal. */
export type SignalClass = keyof typeof vocabulary;

/** The name of a signal. */
export type SignalName = (typeof vocabulary)[SignalClass][number];

/** A measured quantity's name. */
export type ReadingName = (typeof vocabulary)['reading'][number];

/** A panel act: it happens, it does not last. */
export type ActName = 'reset' | 'silence';

/** A signal with two states. */
export type ContactName = Exclude<SignalName, ReadingName | ActName | 'periodic-test'>;

/** What a contact says. */
export type ContactState = 'active' | 'restored';

/** The acts. */
export const actNames = ['reset', 'silence'] as const satisfies readonly ActName[];

/** The readings that are pressures; the only other reading is a flow. */
export const pressureNames = [
  'prime-pressure',
  'supply-pressure',
  'system-pressure',
] as const satisfies readonly ReadingName[];

/** The signals with two states, in the order of the vocabulary. */
export const contactNames = [
  ...vocabulary.alarm,
  ...vocabulary.supervisory,
  ...vocabulary.trouble,
  ...vocabulary.release,
  'panel-alarm',
  'panel-supervisory',
  'panel-trouble',
  'test-mode',
] as const satisfies readonly ContactName[];

const classes = new Map<SignalName, SignalClass>(
  Object.entries(vocabulary).flatMap(([name, members]) =>
    members.map((member): [SignalName, SignalClass] => [member, name as SignalClass]),
  ),
);

/** All names, in the order of the vocabulary. */
export const signalNames: readonly SignalName[] = [...classes.keys()];

/** The class a signal belongs to. */
export function classOf(name: SignalName): SignalClass {
  return classes.get(name) ?? 'panel';
}

/** Initiating devices: they put the releasing panel in alarm. Waterflow is an alarm too, but initiates nothing. */
export const isInitiating = (name: SignalName): boolean => classOf(name) === 'alarm' && name !== 'waterflow';

/** Whether a signal is a measured quantity. */
export const isReading = (name: SignalName): name is ReadingName => classOf(name) === 'reading';

/** Whether a signal is a panel act. */
export const isAct = (name: SignalName): name is ActName => name === 'reset' || name === 'silence';
