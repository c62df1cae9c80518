import type { Flow, Mark } from '@tidemark/riser';
import { speakDuration } from '@tidemark/kernel';
import type { Condition, Rule } from '../condition.ts';
import type { Facts } from '../facts.ts';
import { after, plus, supplyClosed } from '../facts.ts';
import { at, cautions, timeOf } from '../wording.ts';

/**
 * A waterflow alarm that begins while the supply valve is supervised closed, or outlasts the predicted drain-down after
 * the valve closed. A valve switch only says "not fully open" (NFPA 72, 17.17.1: within two turns or a fifth of the travel).
 */
export const flowWithSupplyClosed: Rule = (facts) => {
  const { flow, closing } = facts;
  if (!facts.open || flow === undefined || flow.end !== undefined || closing === undefined || !supplyClosed(facts))
    return [];
  return flow.supplyClosed === undefined
    ? outlasts(facts, flow, closing.begin)
    : begins(facts, flow, flow.supplyClosed);
};

function begins(facts: Facts, flow: Flow, closed: Mark): readonly Condition[] {
  const testedUpstream =
    flow.testWindow !== undefined && flow.release === undefined && facts.profile.trim.alarmTestSource === 'upstream';
  if (testedUpstream) return [];
  const afterReset = flow.reset !== undefined;
  return [
    {
      code: 'flow-with-supply-closed',
      occasion: flow.begin.ref.id,
      dueAt_ms: flow.begin.receivedAt,
      severity: 'critical',
      evidence: [closed.ref, flow.begin.ref],
      absence: false,
      variant: afterReset ? 'after-reset' : 'begins',
      say: () => ({
        explanation:
          `Waterflow was reported at ${timeOf(facts, flow.begin)}, and the supply valve has been reported not fully open since ${timeOf(facts, closed)}. ` +
          'The valve switch only says "not fully open": either the valve is partly open and water is really flowing, or it is shut and the waterflow alarm or the valve switch is not telling the truth. ' +
          (afterReset
            ? `The panel was reset before; if the valve is being reopened, the riser may have tripped a second time. Should the valve restore within ${speakDuration(facts.spans.reopen_ms)}, that is what happened.`
            : 'Nothing seen from here tells the two apart.'),
        advice:
          'Ask whoever is at the riser whether water runs from the main drain or the nozzles, and how far the supply valve is open. Until then act as for flowing water.',
        caution: `${cautions.water} ${cautions.fire}`,
      }),
    },
  ];
}

function outlasts(facts: Facts, flow: Flow, closed: Mark): readonly Condition[] {
  const due = drainedBy_ms(facts, closed);
  if (due === undefined) return [];
  const by = plus(closed.ref.at, facts.spans.drainDown_ms);
  return [
    {
      code: 'flow-with-supply-closed',
      occasion: flow.begin.ref.id,
      dueAt_ms: due + facts.spans.latency_ms,
      severity: 'critical',
      evidence: [flow.begin.ref, closed.ref],
      window: { from: closed.ref.at, to: by },
      absence: true,
      variant: 'outlasts',
      say: () => ({
        explanation:
          `Water is still reported, and the pipes and the alarm line should have been empty by ${at(facts, by)}. ` +
          `It has been reported since ${timeOf(facts, flow.begin)}; the supply valve was reported not fully open at ${timeOf(facts, closed)}. ` +
          'The valve may still be partly open, the drains may be shut, or the alarm line cannot lose its pressure.',
        advice:
          'Ask the crew whether the supply valve is fully shut and whether the drains run hard, weakly or not at all.',
        caution: `${cautions.water} ${cautions.reset}`,
      }),
    },
  ];
}

/**
 * When the drain-down after a closing is over, on the station's clock. Where alarms restore only with a reset it is not
 * judged before one: the panel cannot say that the water stopped.
 */
export function drainedBy_ms(facts: Facts, closed: Mark): number | undefined {
  const drained = closed.receivedAt + facts.spans.drainDown_ms;
  if (facts.profile.panel.restorals === 'contact') return drained;
  const reset = facts.episode?.resets.at(-1);
  if (reset === undefined || !after(reset.mark, closed)) return undefined;
  return Math.max(drained, reset.mark.receivedAt + facts.spans.settle_ms);
}
