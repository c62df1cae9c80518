import type { Line, LineState } from './line.ts';
import type { PanelDefect } from './panel-defects.ts';
import type { CircuitFault } from './panel-input.ts';
import type { PanelOutput } from './panel-output.ts';
import type { PanelSettings } from './panel-settings.ts';

/**
 * A panel and its history up to a moment. A value: every operation returns another panel. All its timers are absolute
 * moments, so it makes no difference in which slices time passes.
 */
export interface Panel {
  readonly settings: PanelSettings;
  readonly lines: readonly Line[];
  /** Up to and including this moment everything was done. */
  readonly at_s: number;
  readonly states: readonly LineState[];
  readonly defects: ReadonlySet<PanelDefect>;
  readonly releaseFault: CircuitFault | undefined;
  /** Gauges read and not published yet, SI, by point. */
  readonly gauges: ReadonlyMap<number, number>;

  readonly running: boolean;
  readonly groups: Groups;
  readonly sounding: boolean;
  readonly silenced: boolean;
  /** The release is called for; the circuit carries current; that was published. */
  readonly commanded: boolean;
  readonly energized: boolean;
  readonly energizedSaid: boolean;

  /** When the panel acts by itself next; infinite where it does not. */
  readonly scanAt_s: number;
  readonly rescanAt_s: number;
  readonly releaseAt_s: number;
  readonly testAt_s: number;
  readonly startAt_s: number;
}

/** A lamp and whether its group signal was published. */
export interface Group {
  readonly lit: boolean;
  readonly said: boolean;
}

/** The panel's three group signals. */
export type Groups = Readonly<Record<'alarm' | 'supervisory' | 'trouble', Group>>;

/** A panel, and what it did on the way to it. */
export interface PanelStep {
  readonly panel: Panel;
  readonly outputs: readonly PanelOutput[];
}

/** A panel that is being worked on. Never leaves the operation that made it. */
export type Draft = { -readonly [Key in keyof Omit<Panel, 'states'>]: Panel[Key] } & {
  readonly states: WorkedLine[];
  readonly outputs: PanelOutput[];
};

/** The state of a line that is being worked on. */
export type WorkedLine = { -readonly [Key in keyof LineState]: LineState[Key] };

/** A copy to work on. */
export const draftOf = (panel: Panel): Draft => ({
  ...panel,
  states: panel.states.map((state) => ({ ...state })),
  outputs: [],
});

/** What has been worked out, as a value again. */
export function stepOf({ outputs, ...panel }: Draft): PanelStep {
  return { panel, outputs };
}

/** Every line with its state, in the order of announcement. */
export function* eachLine({ lines, states }: Draft): Generator<readonly [Line, WorkedLine]> {
  for (const [index, line] of lines.entries()) {
    const state = states[index];
    if (state !== undefined) yield [line, state];
  }
}

/** So long after a moment, to the millisecond, so that sums of seconds carry no dust into the times that are told. */
export const after_s = (at_s: number, more_s: number): number =>
  Math.max(at_s, Math.round((at_s + more_s) * 1000) / 1000);
