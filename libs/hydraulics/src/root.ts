import { invariant } from '@tidemark/kernel';

/** Ends of an interval in which an increasing function passes zero. */
export interface Bracket {
  readonly low: number;
  readonly high: number;
}

const roundsAtMost = 200;

/**
 * The zero of an increasing function between two ends that enclose it: regula falsi with the Illinois halving, which
 * never leaves the bracket. Ends when the bracket or the step is below `tolerance`.
 */
export function bracketedRoot(increasing: (x: number) => number, { low, high }: Bracket, tolerance: number): number {
  let [below, above] = [low, high];
  let [valueBelow, valueAbove] = [increasing(low), increasing(high)];
  if (valueBelow >= 0) return low;
  if (valueAbove <= 0) return high;
  let previous = below;
  for (let round = 0; round < roundsAtMost; round += 1) {
    const x = (below * valueAbove - above * valueBelow) / (valueAbove - valueBelow);
    const value = increasing(x);
    if (value === 0 || above - below < tolerance || Math.abs(x - previous) < tolerance) return x;
    if (value < 0) {
      if (x > previous && round > 0) valueAbove /= 2;
      [below, valueBelow] = [x, value];
    } else {
      if (x < previous && round > 0) valueBelow /= 2;
      [above, valueAbove] = [x, value];
    }
    previous = x;
  }
  invariant(false, 'a bracketed root is found within its rounds');
}
