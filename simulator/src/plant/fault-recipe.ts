import type { ValveName } from './names.ts';
import type { PlantPatch } from './patch.ts';

/** One way a fault shows itself on the plant: what it changes, and what somebody has turned for it to be so. */
export interface FaultRecipe {
  /** The row of the project's fault catalogue. */
  readonly row: string;
  readonly patch: PlantPatch;
  /** Positions that belong to the fault: a valve left shut, a drain left open. */
  readonly moves: readonly { readonly valve: ValveName; readonly to: number }[];
}

/** Recipes by the id of the fault. */
export type FaultRecipes = Readonly<Record<string, readonly FaultRecipe[]>>;
