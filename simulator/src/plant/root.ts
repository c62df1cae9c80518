/** Where to look for a root, and how near is near enough. */
export interface Search {
  readonly guess: number;
  /** First step away from the guess. */
  readonly stride: number;
  readonly low: number;
  readonly high: number;
  /** Residual that counts as zero. */
  readonly residual: number;
}

const roundsAtMost = 120;

/**
 * The zero of an increasing function: from a guess outwards until the sign changes, then regula falsi with the Illinois
 * halving. A guess that is good enough is returned unchanged, so a riser at rest stays at rest to the last bit.
 */
export function increasingRoot(f: (x: number) => number, { guess, stride, low, high, residual }: Search): number {
  const first = f(guess);
  if (Math.abs(first) <= residual) return guess;
  const outwards = first < 0 ? 1 : -1;
  let [inner, innerValue, reach] = [guess, first, stride];
  let [outer, outerValue] = [guess, first];
  while (outerValue * outwards < 0) {
    if (outer === (outwards > 0 ? high : low)) return outer;
    [inner, innerValue] = [outer, outerValue];
    outer = Math.min(high, Math.max(low, outer + outwards * reach));
    outerValue = f(outer);
    reach *= 8;
  }
  return outwards > 0
    ? falsePosition(f, [inner, innerValue, outer, outerValue], residual)
    : falsePosition(f, [outer, outerValue, inner, innerValue], residual);
}

function falsePosition(
  f: (x: number) => number,
  bracket: readonly [below: number, valueBelow: number, above: number, valueAbove: number],
  residual: number,
): number {
  let [below, valueBelow, above, valueAbove] = bracket;
  let side = 0;
  let x = below;
  for (let round = 0; round < roundsAtMost; round += 1) {
    // Where the function is flat on one side, halving the bracket now and then keeps the pace.
    x = round % 8 === 7 ? (below + above) / 2 : (below * valueAbove - above * valueBelow) / (valueAbove - valueBelow);
    const value = f(x);
    if (Math.abs(value) <= residual || above - below <= 1e-15 * Math.abs(x)) return x;
    if (value < 0) {
      [below, valueBelow] = [x, value];
      if (side < 0) valueAbove /= 2;
      side = -1;
    } else {
      [above, valueAbove] = [x, value];
      if (side > 0) valueBelow /= 2;
      side = 1;
    }
  }
  return x;
}
