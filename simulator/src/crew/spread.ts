import { invariant } from '@tidemark/kernel';
import type { Random } from '@tidemark/kernel';
import { triangular } from './triangular.ts';

/** How long people take for something, s: never less, mostly about, never more. */
export interface Spread {
  readonly least_s: number;
  readonly usual_s: number;
  readonly most_s: number;
}

/** One draw over a spread. */
export function drawn_s({ least_s, most_s, usual_s }: Spread, random: Random): number {
  invariant(least_s >= 0, 'nothing takes less than no time');
  return triangular({ least: least_s, usual: usual_s, most: most_s }, random);
}
