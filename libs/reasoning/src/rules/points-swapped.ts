import type { Rule } from '../condition.ts';
import { after } from '../facts.ts';
import { cautions, timeOf } from '../wording.ts';

/**
 * Waterflow and priming pressure wired to each other's point (MODEL C8): "priming pressure" returned while the release
 * was still energized, which no priming chamber can do, and "waterflow" restored within the refill after the reset.
 * Only this pair is recognised yet.
 */
export const pointsSwapped: Rule = (facts) => {
  const { episode, release, flow, spans } = facts;
  const back = episode?.primeBack;
  if (
    !facts.open ||
    release?.seen !== true ||
    back === undefined ||
    flow?.end === undefined ||
    (flow.testWindow !== undefined && flow.release === undefined)
  )
    return [];
  const { begin, end: restored } = flow;
  const vented = after(back, release.begin) && (release.end === undefined || after(release.end, back));
  const reset = episode?.resets.findLast(({ mark }) => after(mark, back) && after(restored, mark));
  if (!vented || !after(back, begin) || reset === undefined) return [];
  if (restored.order_ms - reset.mark.order_ms > spans.refill_ms) return [];
  return [
    {
      code: 'points-swapped',
      occasion: release.begin.ref.id,
      dueAt_ms: restored.receivedAt + spans.latency_ms,
      severity: 'high',
      evidence: [release.begin.ref, back.ref, reset.mark.ref, restored.ref],
      absence: true,
      say: () => ({
        explanation: `Priming pressure was reported back at ${timeOf(facts, back)} while the release was still energized, and waterflow restored at ${timeOf(facts, restored)}, just after the reset of ${timeOf(facts, reset.mark)}. A riser does it the other way round: the two points are probably wired or labelled as each other.`,
        advice:
          'Have one of the two operated at the riser and see under which name it arrives here; then mend the wiring, the panel or the profile.',
        caution: `Until that is settled, read waterflow as priming pressure and the reverse on this riser. ${cautions.record}`,
      }),
    },
  ];
};
