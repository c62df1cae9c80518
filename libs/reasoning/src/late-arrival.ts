import type { Instant } from '@tidemark/kernel';
import { speakDuration } from '@tidemark/kernel';
import type { EventReference } from '@tidemark/riser';
import type { Condition } from './condition.ts';
import type { Facts } from './facts.ts';
import { at as timeAt } from './wording.ts';

/** A signal later than the latency, against the least delay of its source, that changed a finding or the phase. */
export interface LateArrival {
  readonly ref: EventReference;
  readonly receivedAt: Instant;
  readonly lateness_ms: number;
}

/** Late arrivals remembered. */
const lateLimit = 16;

/** Adds the newest. */
export const withArrival = (lates: readonly LateArrival[], late: LateArrival): readonly LateArrival[] =>
  [...lates, late].slice(-lateLimit);

/** Late arrivals near to each other are one story. */
export function outOfOrder(lates: readonly LateArrival[], facts: Facts): readonly Condition[] {
  const last = lates.at(-1);
  if (last === undefined) return [];
  const near = lates.filter(({ receivedAt }) => last.receivedAt - receivedAt <= facts.spans.quiet_ms);
  return [
    {
      code: 'out-of-order',
      occasion: near[0]?.ref.id ?? last.ref.id,
      dueAt_ms: last.receivedAt,
      untilAt_ms: last.receivedAt + facts.spans.quiet_ms,
      severity: 'advisory',
      evidence: near.map(({ ref }) => ref),
      absence: false,
      say: () => ({
        explanation: `${near.length === 1 ? 'A signal' : `${near.length} signals`} came late and changed the story: the last one, ${last.ref.what}, stamped ${timeAt(facts, last.ref.at)}, came ${speakDuration(last.lateness_ms)} later than signals of its source usually take.`,
        advice:
          'Read the story again from that time on; what was said before it came may have been wrong. Look at the path of this panel.',
        caution: '',
      }),
    },
  ];
}

/** Why a finding is cleared that only the missing of this signal had raised. */
export const lateReason = (facts: Facts, { ref, receivedAt }: LateArrival): string =>
  `Put right at ${timeAt(facts, receivedAt)} by ${ref.what} of ${timeAt(facts, ref.at)}, which came late.`;
