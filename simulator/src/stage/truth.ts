import type { CauseId } from '@tidemark/words';
import type { StepRecord } from '../crew/step.ts';
import type { Fate } from '../link/delivery.ts';
import type { SaidSignal } from '../panel/panel-output.ts';
import type { Milestone } from '../plant/event.ts';
import type { ContactName, ValveName } from '../plant/names.ts';
import type { StepDeed } from './story.ts';

/** From a moment to another; without an end, until the story ends. All times in s from the story's beginning. */
export interface Stretch {
  readonly from_s: number;
  readonly to_s?: number;
}

/** What was wrong, from when to when. */
export type InjectedCause = Stretch & {
  readonly cause: CauseId;
  readonly row: string;
  readonly size: number | undefined;
};

/** A position that holds, or changes evenly until the next one: 0 shut to 1 open. */
export interface Opening {
  readonly at_s: number;
  readonly position: number;
}

/** What truly happened, whatever was said of it: the labels by which a judgement of the story is judged. */
export interface Truth {
  readonly causes: readonly InjectedCause[];
  /** What was done, in the order of time; `by` names a thread of steps or a crew by its place in the story. */
  readonly acts: readonly (StepDeed & { readonly at_s: number; readonly by: string })[];
  /** What became of each step of each crew's plan. */
  readonly crews: readonly (readonly StepRecord[])[];
  /** Water passes the deluge valve: more than {@link flowing_m3_s}. */
  readonly water: readonly Stretch[];
  /** Water leaves the nozzles, the draining of the pipes included. */
  readonly spray: readonly Stretch[];
  /** Current in the release circuit. */
  readonly release: readonly Stretch[];
  readonly contacts: readonly {
    readonly at_s: number;
    readonly contact: ContactName;
    readonly state: 'active' | 'restored';
  }[];
  readonly milestones: readonly { readonly at_s: number; readonly milestone: Milestone }[];
  /** How far each valve truly was open; linear between two entries. */
  readonly openings: Readonly<Record<ValveName, readonly Opening[]>>;
  /** What the panel said, and what became of it. */
  readonly said: readonly (SaidSignal & { readonly at_s: number; readonly fate: Fate })[];
  readonly refusedResets_s: readonly number[];
}

/** What counts as flowing, m³/s: half of what one default nozzle passes at 7 psi (choice of this project). */
export const flowing_m3_s = 5e-4;
