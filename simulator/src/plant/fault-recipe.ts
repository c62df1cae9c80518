import type { ValveName } from './names.ts';
import type { PlantPatch } from './patch.ts';

/** What the size of a fault means, from where to where it is worth injecting, and what is usual of it. */
export interface FaultSize {
  readonly what: string;
  /** `share` from 0 to 1, `factor` and `count` without a unit; the others as the project writes them. */
  readonly unit: 'share' | 'factor' | 'count' | 's' | 's/day' | 'L' | 'gpm' | 'gpm/psi^0.5';
  readonly least: number;
  readonly usual: number;
  readonly most: number;
}

/** A patch that holds from so long after the beginning of a fault, and for so long; without an end as long as the fault. */
export interface PatchSpan {
  readonly patch: PlantPatch;
  readonly after_s: number;
  readonly lasts_s?: number;
}

/** What a fault changes on the plant. */
export interface FaultForm {
  /** All of it, as if it held for good. */
  readonly patch: PlantPatch;
  /** Positions that belong to the fault: a valve left shut, a drain left open. */
  readonly moves: readonly { readonly valve: ValveName; readonly to: number }[];
  /** Its parts in time, where it is a disturbance that passes. */
  readonly spans?: readonly PatchSpan[];
}

/** One way a fault shows itself on the plant, as the project's fault catalogue has it, and in other sizes. */
export interface FaultRecipe extends FaultForm {
  /** The row of the catalogue. */
  readonly row: string;
  /** Absent where the fault is there or not. */
  readonly size?: FaultSize;
  readonly ofSize: (size: number) => FaultForm;
}

/** Recipes by the id of the fault. */
export type FaultRecipes = Readonly<Record<string, readonly FaultRecipe[]>>;
