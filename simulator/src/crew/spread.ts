import { invariant } from '@tidemark/kernel';
import type { Random } from '@tidemark/kernel';

/** How long people take for something, s: never less, mostly about, never more. */
export interface Spread {
  readonly least_s: number;
  readonly usual_s: number;
  readonly most_s: number;
}

/** A spread with no width. */
export const exactly = (s: number): Spread => ({ least_s: s, usual_s: s, most_s: s });

/**
 * One draw from the triangular distribution over a spread. Triangular and not lognormal, because its inverse needs a
 * square root only, which every machine rounds alike.
 */
export function drawn_s({ least_s, most_s, usual_s }: Spread, random: Random): number {
  invariant(least_s >= 0 && least_s <= usual_s && usual_s <= most_s, 'a spread is in order');
  const width_s = most_s - least_s;
  if (width_s === 0) return least_s;
  const share = random.next();
  const rising_s = usual_s - least_s;
  return share * width_s < rising_s
    ? least_s + Math.sqrt(share * width_s * rising_s)
    : most_s - Math.sqrt((1 - share) * width_s * (most_s - usual_s));
}
