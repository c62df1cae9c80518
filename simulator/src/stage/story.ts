import type { Instant } from '@tidemark/kernel';
import type { Profile } from '@tidemark/riser';
import type { SignalName } from '@tidemark/signals';
import type { CauseId } from '@tidemark/words';
import type { Deed } from '../crew/act.ts';
import type { CrewOrder } from '../crew/crew.ts';
import type { Sighting } from '../crew/sight.ts';
import type { Injected } from '../faults/injection.ts';
import type { LinkSetup } from '../link/link-setup.ts';
import type { PanelChoices } from '../panel/panel-settings.ts';
import type { Milestone } from '../plant/event.ts';
import type { ValveName } from '../plant/names.ts';

/** What a step or a fault may wait for. */
export type Awaited =
  /** What the panel last said of a signal; of one that it never spoke of, `restored`. */
  | { readonly signal: SignalName; readonly said: 'active' | 'restored' }
  | { readonly sees: Exclude<Sighting, object> }
  /** Something inside the plant that nobody sees, once it happens. */
  | { readonly milestone: Milestone };

/** When something is due, s of true time from the story's beginning. */
export type Due =
  | { readonly at_s: number }
  /** So long after the step before it. */
  | { readonly after_s: number }
  /** So long after what is awaited; without it, at the latest. */
  | { readonly awaits: Awaited; readonly wait_s: number; readonly atMost_s?: number };

/** Something that somebody or something does, at its moment. */
export interface StoryStep {
  readonly due: Due;
  readonly deed: StepDeed;
}

/** A deed; a valve takes its usual time where none is given. */
export type StepDeed =
  | Exclude<Deed, { readonly act: 'valve' }>
  | { readonly act: 'valve'; readonly valve: ValveName; readonly to: number; readonly over_s?: number };

/** A fault from its moment on. */
export interface StoryFault {
  readonly cause: CauseId;
  /** The row of the fault catalogue. */
  readonly row: string;
  readonly size: number | undefined;
  readonly injected: Injected;
  /** Counted from the beginning. */
  readonly due: Due;
  readonly lasts_s?: number;
}

/** Everything that decides a run: the same story gives the same bytes. Times in s from its beginning. */
export interface Story {
  readonly profile: Profile;
  /** The moment 0 s. */
  readonly begin: Instant;
  readonly length_s: number;
  /** Where valves stand at the beginning, where that is not as in standby; 0 shut to 1 open. */
  readonly valves?: Readonly<Partial<Record<ValveName, number>>>;
  readonly panel?: PanelChoices;
  readonly link?: Partial<Omit<LinkSetup, 'key' | 'begin'>>;
  readonly faults?: readonly StoryFault[];
  /** Threads of steps; within a thread a step is awaited only when the one before it is done. */
  readonly steps?: readonly (readonly StoryStep[])[];
  /** People with a plan and a pace of their own. */
  readonly crews?: readonly CrewOrder[];
}
