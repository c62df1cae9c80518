import type { EventReference } from '@tidemark/riser';

/**
 * What can be observed of an episode, and the values each may take. The first value is what a sound riser and a careful
 * crew bring; every other one is a symptom. A variable that was not observed is left out: it speaks for nothing.
 */
export const variables = {
  /** The panel's answer to an initiating alarm. */
  release: ['follows', 'lacking', 'unasked', 'late', 'unreported'],
  /** The solenoid after a reset that left no alarm. */
  releaseAfterReset: ['at-rest', 'stays'],
  /** The chamber's witness at a release. */
  tripPrime: ['falls', 'falls-late', 'holds'],
  /** The water's witness at a release. */
  tripFlow: ['in-time', 'late', 'very-late', 'early', 'lacking'],
  /**
   * What moved with no release: priming pressure alone, then water after seconds, both at once, water alone, or water
   * where no point tells of priming pressure.
   */
  selfTrip: ['none', 'prime-alone', 'prime-then-water', 'together', 'water-alone', 'water-unwitnessed'],
  /** The supply's witness: its pressure fell before anything else, or while water flowed. */
  supplyPressure: ['steady', 'falls-before', 'falls-in-flow'],
  /** Whether the supply valve stood off normal when the release acted. */
  isolated: ['no', 'yes'],
  /** The valve's witness in a shut-down. */
  closing: ['reported', 'missing', 'uncalled-for'],
  /** Water while the valve is supervised closed. */
  waterWhileClosed: ['none', 'begins', 'begins-after-reset'],
  /** From the valve's closing to the end of the waterflow alarm. */
  drainDown: ['in-time', 'early', 'lasting'],
  /** Whether the reset found everything restored. */
  resetFound: ['all-clear', 'device-active', 'water-active'],
  /** What went into alarm again after a reset. */
  reAlarm: ['none', 'device', 'water', 'panel'],
  /** From the reset to the return of priming pressure. */
  refill: ['in-time', 'early', 'late', 'lacking'],
  /** What the reopening of the supply brought. */
  reopening: ['quiet', 'trips-unprimed', 'trips-primed'],
  /** The valve's witness at the end. */
  reopened: ['reported', 'missing'],
  /** The last alarm test that expected waterflow. */
  testFlow: ['came', 'lacking', 'trips'],
  /** The end of its waterflow alarm. */
  testEnd: ['restores', 'lasting'],
  /** A contact that does not settle. */
  chatter: ['none', 'water', 'valve', 'other'],
  /** The path from the panel. */
  path: ['sound', 'silent', 'gaps', 'disorder'],
  clock: ['right', 'wrong'],
  releaseCircuit: ['sound', 'trouble'],
  initiatingCircuit: ['sound', 'trouble'],
  power: ['sound', 'trouble'],
  disconnect: ['off', 'on'],
  names: ['right', 'permuted'],
  /** Steps of the restoration when the riser went quiet. */
  steps: ['done', 'open'],
  /** Whether the panel sends restorals at all: one of this episode is enough to know. */
  restorals: ['sent', 'none'],
} as const;

/** The name of something observable. */
export type Variable = keyof typeof variables;

/** A value of a variable. */
export type ValueOf<V extends Variable> = (typeof variables)[V][number];

/** A value and the events it rests on. */
export interface Observed<Value extends string = string> {
  readonly value: Value;
  readonly evidence: readonly EventReference[];
}

/** What was observed of an episode so far. */
export type Observations = { readonly [V in Variable]?: Observed<ValueOf<V>> };

/** All names, in the order of the table. */
export const variableNames = Object.keys(variables) as readonly Variable[];

/** Whether a value is what a sound riser brings. */
export const isNormal = (variable: Variable, value: string): boolean => variables[variable][0] === value;
