import { invariant } from '@tidemark/kernel';
import type { Random } from '@tidemark/kernel';

/** From where to where something lies, and about where mostly. */
export interface Range {
  readonly least: number;
  readonly usual: number;
  readonly most: number;
}

/**
 * One draw from the triangular distribution over a range. Triangular and not lognormal, because its inverse needs a
 * square root only, which every machine rounds alike.
 */
export function triangular({ least, most, usual }: Range, random: Random): number {
  invariant(least <= usual && usual <= most, 'a range is in order');
  const width = most - least;
  if (width === 0) return least;
  const share = random.next();
  return share * width < usual - least
    ? least + Math.sqrt(share * width * (usual - least))
    : most - Math.sqrt((1 - share) * width * (most - usual));
}
