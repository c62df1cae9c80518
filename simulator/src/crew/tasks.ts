import type { ValveName } from '../plant/names.ts';
import type { Deed } from './act.ts';
import type { Spread } from './spread.ts';

const spread = (least_s: number, usual_s: number, most_s: number): Spread => ({ least_s, usual_s, most_s });

/*
 * How long tasks take: choices of this project throughout. A hand-wheel takes 5 to 40 s (MODEL 1.8); a supply valve that
 * is opened slowly, as after a shut-down, a minute or more; a quarter-turn valve a second or two.
 */
const quarterTurn = spread(0.4, 0.8, 3);
const handWheel = spread(5, 15, 40);
const slowly = spread(40, 75, 110);
const pressed = spread(2, 5, 20);
const keyed = spread(5, 12, 40);

interface ValveSpec {
  readonly valve: ValveName;
  readonly to: number;
  readonly takes: Spread;
}

const turning = (valve: ValveName, to: number, takes: Spread = quarterTurn): ValveSpec => ({ valve, to, takes });

/** What hands do at the riser. */
export const valveTasks = {
  'close-supply-valve': turning('supply', 0, handWheel),
  'open-supply-valve': turning('supply', 1, handWheel),
  'open-supply-valve-slowly': turning('supply', 1, slowly),
  'close-prime-valve': turning('prime', 0),
  'open-prime-valve': turning('prime', 1),
  'open-system-drain': turning('system-drain', 1),
  'close-system-drain': turning('system-drain', 0),
  'open-auxiliary-drain': turning('auxiliary-drain', 1),
  'close-auxiliary-drain': turning('auxiliary-drain', 0),
  'open-supply-drain': turning('supply-drain', 1),
  'close-supply-drain': turning('supply-drain', 0),
  'open-alarm-test': turning('alarm-test', 1),
  'close-alarm-test': turning('alarm-test', 0),
  'open-alarm-line': turning('alarm-line', 1),
  'close-alarm-line': turning('alarm-line', 0),
  'pull-manual-release': turning('manual-release', 1),
  'return-manual-release': turning('manual-release', 0),
} as const satisfies Readonly<Record<string, ValveSpec>>;

/** Turning one of the riser's valves. */
export type ValveTask = keyof typeof valveTasks;

type PanelGesture = Extract<Deed, { readonly act: 'button' | 'switch' }>;

/** What fingers do at the panel. */
export const panelTasks = {
  silence: { takes: pressed, gesture: { act: 'button', button: 'silence' } },
  reset: { takes: pressed, gesture: { act: 'button', button: 'reset' } },
  'disconnect-release': { takes: keyed, gesture: { act: 'switch', switch: 'release-disconnect', on: true } },
  'reconnect-release': { takes: keyed, gesture: { act: 'switch', switch: 'release-disconnect', on: false } },
  'enter-test-mode': { takes: keyed, gesture: { act: 'switch', switch: 'test-mode', on: true } },
  'leave-test-mode': { takes: keyed, gesture: { act: 'switch', switch: 'test-mode', on: false } },
} as const satisfies Readonly<Record<string, { readonly takes: Spread; readonly gesture: PanelGesture }>>;

/** Pressing a button or turning a switch of the panel. */
export type PanelTask = keyof typeof panelTasks;

/** What is done to an initiating device, such as a pull station. */
export const deviceTasks = {
  'operate-device': { takes: spread(1, 3, 10), state: 'active' },
  'restore-device': { takes: spread(5, 20, 90), state: 'restored' },
} as const satisfies Readonly<Record<string, { readonly takes: Spread; readonly state: 'active' | 'restored' }>>;

/** Operating an initiating device, or setting it back. */
export type DeviceTask = keyof typeof deviceTasks;

/** A call to the station. */
export const callTakes = spread(15, 40, 120);

/** A pause that says nothing else: a look around. */
export const pauseTakes = spread(10, 30, 90);

/** From one place to another. */
export const walkTakes = spread(15, 45, 150);

/** Between two looks at what is awaited. */
export const glanceTakes = spread(2, 5, 15);
