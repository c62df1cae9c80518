import type { CauseId } from '@tidemark/words';
import type { ValueOf, Variable } from './variables.ts';

/**
 * How a fault or an unseen act shows: for each variable it bears on, the probability of the values it makes likely.
 * What is left over is spread over the other values; a variable it does not name is as on a sound riser.
 */
export type Signature = { readonly [V in Variable]?: { readonly [Value in ValueOf<V>]?: number } };

/** The signatures of one component's faults. */
export type ModeTable = { readonly [Id in CauseId]?: Signature };

/** A value that the physics leaves no choice about, noise of report apart. */
export const certain = 0.96;

/** How often faults brought which values when they were played on the simulator: by fault, variable and value. */
export type Counted = { readonly [Id in CauseId]?: Readonly<Record<string, Readonly<Record<string, number>>>> };
