import type { Instant } from '@tidemark/kernel';

/** One hand-over of a shift. */
export interface HandOver {
  readonly at: Instant;
  readonly from: string;
  readonly to: string;
}

/** Who had the shift at a moment, from hand-overs in order of time; before the first, whoever handed it over. */
export function operatorAt(handOvers: readonly HandOver[], at: Instant): string | undefined {
  const last = handOvers.findLast((each) => each.at <= at);
  return last?.to ?? handOvers[0]?.from;
}
