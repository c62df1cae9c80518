import type { Lane } from './lanes.ts';

/** Where the first lane begins, below the labels of folds and ticks. */
export const laneTop = 46;

const laneHeight = 23;

/** A window says in words what should happen; the words need room above their lane. */
const windowRoom = 13;

/** The middle of each lane, and the height of them all. */
export function layOut(lanes: readonly Lane[]): { readonly middles: readonly number[]; readonly height: number } {
  const middles: number[] = [];
  let bottom = laneTop;
  for (const { windows } of lanes) {
    const top = bottom + (windows.length > 0 ? windowRoom : 0);
    middles.push(top + laneHeight / 2);
    bottom = top + laneHeight;
  }
  return { middles, height: bottom + 6 };
}
