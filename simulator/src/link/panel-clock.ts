import { instant } from '@tidemark/kernel';
import type { Instant } from '@tidemark/kernel';
import { holds } from './holds.ts';
import type { LinkTrouble } from './trouble.ts';

const day_s = 86_400;

/** What the panel's clock shows at a moment of true time: the sum of the troubles it has, set right where they end. */
export function panelClock(begin: Instant, troubles: readonly LinkTrouble[], at_s: number): Instant {
  let error_s = 0;
  for (const trouble of troubles)
    if (trouble.kind === 'clock' && holds(trouble, at_s)) {
      const { drift_s_per_day = 0, from_s, offset_s = 0 } = trouble;
      error_s += offset_s + (drift_s_per_day * (at_s - from_s)) / day_s;
    }
  return instant(begin + 1_000 * (at_s + error_s));
}
