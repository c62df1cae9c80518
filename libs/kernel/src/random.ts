/** A seeded source of chance: the same seed gives the same numbers on every machine. */
export interface Random {
  /** The next number in [0, 1). */
  readonly next: () => number;
  /** A whole number from `low` to `high`, both included. */
  readonly between: (low: number, high: number) => number;
  /** A normally distributed number (sum of twelve uniforms, so within six deviations of the mean). */
  readonly normal: (mean: number, deviation: number) => number;
  /** An independent source whose numbers depend on this seed and the name only, not on what was drawn before. */
  readonly fork: (name: string) => Random;
}

/** FNV-1a, 32 bit (Fowler, Noll, Vo): spreads a name over the seeds. */
const fnv1a = (text: string): number => {
  let hash = 0x811c9dc5;
  for (let index = 0; index < text.length; index += 1)
    hash = Math.imul(hash ^ text.charCodeAt(index), 0x01000193) >>> 0;
  return hash;
};

/** A 32-bit mixing generator in integer arithmetic (a Weyl sequence through a finalizer), identical on every platform. */
export function seededRandom(seed: number): Random {
  let state = seed >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
  return {
    next,
    between: (low, high) => low + Math.floor(next() * (high - low + 1)),
    normal: (mean, deviation) => {
      let sum = -6;
      for (let draw = 0; draw < 12; draw += 1) sum += next();
      return mean + deviation * sum;
    },
    fork: (name) => seededRandom((seed ^ fnv1a(name)) >>> 0),
  };
}
