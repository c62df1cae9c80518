import type { StationCommand } from './act.ts';
import type { Sighting } from './sight.ts';
import type { Spread } from './spread.ts';
import type { DeviceTask, PanelTask, ValveTask } from './tasks.ts';

/** One step of a crew's script. */
export type CrewStep = {
  /** By which mistakes and records call the step; without one its task, with a number where it comes again. */
  readonly name?: string;
  /** True time before which nobody begins it. */
  readonly notBefore_s?: number;
  /** How long it takes, where it is not as usual. */
  readonly takes?: Spread;
} &
  /** `to` is where the valve is left, 0 shut to 1 open, where it is not all the way. */
  (
    | { readonly do: ValveTask; readonly to?: number }
    | { readonly do: PanelTask }
    | { readonly do: DeviceTask; readonly point: number }
    | { readonly do: 'tell-station'; readonly command: StationCommand }
    /** Looks now and then until it is to be seen, and goes on when it never is. */
    | { readonly do: 'wait-until'; readonly sees: Sighting; readonly atMost_s: number }
    | { readonly do: 'pause' }
  );

/** A mistake of people, by the names of the steps it is made with. */
export type Mistake =
  | { readonly mistake: 'skip'; readonly step: string }
  | { readonly mistake: 'swap'; readonly step: string; readonly with: string }
  /** A valve is turned a part of its way only, 0 to 1. */
  | { readonly mistake: 'half-do'; readonly step: string; readonly part: number }
  /** Done before another step that should come first; without one, without waiting for what the step before awaits. */
  | { readonly mistake: 'too-early'; readonly step: string; readonly before?: string }
  | { readonly mistake: 'too-late'; readonly step: string; readonly by_s: number }
  /** Everybody leaves: neither the step nor anything behind it is done. */
  | { readonly mistake: 'leave'; readonly before: string };

/** What truly became of a step: the labels of a story. Times are true, s from its beginning. */
export interface StepRecord {
  readonly step: string;
  readonly task: CrewStep['do'];
  readonly began_s: number;
  readonly ended_s: number;
  readonly outcome: 'done' | 'half-done' | 'seen' | 'never-seen' | 'skipped';
  /** The mistake made with it, if any. */
  readonly mistake?: Mistake['mistake'];
}
