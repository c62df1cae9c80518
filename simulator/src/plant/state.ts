/**
 * Everything the plant remembers, SI, in one flat record: a step copies it, works on the copy and drops it if the step is
 * refused. Arrays are by `valveIndex` or `contactIndex`. Pressures are gauge.
 */
export interface PlantState {
  /** The plant's clock. */
  readonly at_s: number;
  /** The step the controller would take next: part of the state, so that the chain of steps depends on it alone. */
  readonly nextStep_s: number;

  readonly chamberWater_m3: number;
  /** Air in the chamber as pressure times volume (isothermal). */
  readonly chamberAir_J: number;
  /** 0 seated to 1 fully open. */
  readonly clapper: number;
  /** What was last told of it. */
  readonly clapperPhase: 'seated' | 'moving' | 'open';
  /** Whether clapper and network had to be solved together in the last step. */
  readonly coupled: boolean;
  readonly pipingWater_m3: number;
  readonly pipingFull: boolean;
  readonly lineWater_m3: number;
  readonly reliefOpen: boolean;
  readonly dripShut: boolean;

  readonly supply_Pa: number;
  readonly inlet_Pa: number;
  readonly outlet_Pa: number;
  readonly chamber_Pa: number;
  readonly line_Pa: number;
  /** What the waterflow switch sees: the line, or what was locked in when it was isolated. */
  readonly switch_Pa: number;

  /** Through the supply valve, through the clapper, into the dry piping. */
  readonly drawn_m3_s: number;
  readonly through_m3_s: number;
  readonly intoPiping_m3_s: number;
  readonly nozzles_m3_s: number;
  readonly outletDrains_m3_s: number;
  readonly supplyDrain_m3_s: number;
  readonly priming_m3_s: number;
  readonly vents_m3_s: number;
  readonly test_m3_s: number;

  /** Water so far: taken from the supply, out of the nozzles, out of drains, out of the chamber's vents. */
  readonly supplied_m3: number;
  readonly sprayed_m3: number;
  readonly drained_m3: number;
  readonly vented_m3: number;

  readonly position: readonly number[];
  readonly target: readonly number[];
  /** Share of a full turn in a second; 0 once a valve has come to rest. */
  readonly speed: readonly number[];

  readonly active: readonly boolean[];
  /** When a contact held back by its retard will be reported; infinite when none is. */
  readonly pendingAt_s: readonly number[];
  /** False changes still to come, and when. */
  readonly bounces: readonly number[];
  readonly bounceAt_s: readonly number[];
}

/** A state that is being worked on. Never leaves the step that made it. Its arrays are replaced, not written into. */
export type Draft = { -readonly [Key in keyof PlantState]: PlantState[Key] };

/** A copy to work on. */
export const draftOf = (state: PlantState): Draft => ({ ...state });
