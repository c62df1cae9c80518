import type { Instant } from '@tidemark/kernel';
import { instant } from '@tidemark/kernel';
import type { Span } from './history.ts';

/** Ten minutes, the period of every rate below. */
export const period_ms = 600_000;

/** A flood begins with more than ten alarms in ten minutes and is over with fewer than five (ISA-18.2; FACTS 6.23, from memory). */
const flood = { beginsAbove: 10, endsBelow: 5 } as const;

/** More alarms than one person can answer. */
export interface Flood {
  readonly from: Instant;
  /** Absent while it lasts. */
  readonly until: Instant | undefined;
  readonly alarms: number;
}

/**
 * The floods among alarms in order of time, up to a moment. The ten minutes slide, so that it makes no difference
 * where a period of the clock begins.
 */
export function floodsOf(times: readonly Instant[], now: Instant): readonly Flood[] {
  const floods: Flood[] = [];
  let open: { readonly from: Instant; alarms: number } | undefined;
  for (const { at, oldest, index } of lastPeriods(times)) {
    const calm = calmAfter(times, index);
    if (open !== undefined && calm !== undefined && calm <= at) {
      floods.push({ ...open, until: calm });
      open = undefined;
    }
    const recent = index - oldest + 1;
    if (open !== undefined) open.alarms += 1;
    else if (recent > flood.beginsAbove) open = { from: times[oldest] ?? at, alarms: recent };
  }
  if (open === undefined) return floods;
  const calm = calmAfter(times, times.length);
  return [...floods, { ...open, until: calm !== undefined && calm <= now ? calm : undefined }];
}

/** For each alarm, the index of the oldest one of the ten minutes that end with it. */
export function* lastPeriods(
  times: readonly Instant[],
): Iterable<{ readonly at: Instant; readonly index: number; readonly oldest: number }> {
  let oldest = 0;
  for (const [index, at] of times.entries()) {
    while ((times[oldest] ?? at) <= at - period_ms) oldest += 1;
    yield { at, index, oldest };
  }
}

/** When ten minutes hold fewer than five of the alarms before `end`, should none follow: as the fifth newest leaves them. */
function calmAfter(times: readonly Instant[], end: number): Instant | undefined {
  const fifthNewest = times[end - flood.endsBelow];
  return fifthNewest === undefined ? undefined : instant(fifthNewest + period_ms);
}

/** How much of a span was flood, from 0 to 1. */
export function floodShare(floods: readonly Flood[], { from, to }: Span): number {
  const inFlood_ms = floods.reduce(
    (sum, each) => sum + Math.max(0, Math.min(each.until ?? to, to) - Math.max(each.from, from)),
    0,
  );
  return to > from ? inFlood_ms / (to - from) : 0;
}
