import { hasPoint } from '@tidemark/riser';
import type { Flow } from '@tidemark/riser';
import type { Condition, Rule } from '../condition.ts';
import type { Facts } from '../facts.ts';
import { activeSince, after, plus } from '../facts.ts';
import { at, cautions, timeOf } from '../wording.ts';

/** After an alarm test or a drain-down the waterflow alarm outlasts the predicted bleed-down. */
export const flowNotRestored: Rule = (facts) => {
  const { flow } = facts;
  if (!facts.open || flow === undefined || flow.end !== undefined) return [];
  return flow.testWindow !== undefined && flow.release === undefined
    ? afterTest(facts, flow)
    : afterDrainDown(facts, flow);
};

function afterTest(facts: Facts, flow: Flow): readonly Condition[] {
  const { spans, picture } = facts;
  const test = picture.tests.find(({ begin }) => begin.ref.id === flow.testWindow?.begin.ref.id) ?? flow.testWindow;
  const ends = test?.end?.receivedAt ?? test?.endsAt;
  if (test === undefined || ends === undefined || activeSince(facts, 'solenoid') !== undefined) return [];
  const to = plus(ends, spans.bleedDown_ms);
  return [
    {
      code: 'flow-not-restored',
      occasion: flow.begin.ref.id,
      dueAt_ms: ends + spans.bleedDown_ms + spans.latency_ms,
      severity: 'high',
      evidence: [flow.begin.ref, test.end?.ref ?? test.begin.ref],
      window: { from: ends, to },
      absence: true,
      variant: 'test',
      say: () => ({
        explanation: `The waterflow alarm of the test (since ${timeOf(facts, flow.begin)}) still stands. The test was over at ${at(facts, ends)}, and the alarm line should have bled down by ${at(facts, to)}.`,
        advice:
          'Ask whether the alarm test valve is fully shut; then for the gauge on the alarm line. No pressure there means a stuck switch; pressure that stays means the bleed hole or a valve.',
        caution: 'Until it restores, a real waterflow on this riser cannot be told from here.',
      }),
    },
  ];
}

/** Only after a reset with the release at rest and the valve open again; while it is closed another code speaks. */
function afterDrainDown(facts: Facts, flow: Flow): readonly Condition[] {
  const { closing, spans, episode } = facts;
  if (closing?.end === undefined || flow.supplyClosed !== undefined || !after(closing.begin, flow.begin)) return [];
  const reset = episode?.resets.findLast(({ mark }) => after(mark, closing.begin));
  if (reset === undefined || activeSince(facts, 'solenoid') !== undefined) return [];
  const to = plus(closing.begin.ref.at, spans.drainDown_ms);
  return [
    {
      code: 'flow-not-restored',
      occasion: flow.begin.ref.id,
      dueAt_ms:
        Math.max(closing.begin.receivedAt + spans.drainDown_ms, reset.mark.receivedAt + spans.settle_ms) +
        spans.latency_ms,
      severity: 'high',
      evidence: [flow.begin.ref, closing.begin.ref, closing.end.ref],
      window: { from: closing.begin.ref.at, to },
      absence: true,
      variant: 'drain-down',
      say: () => ({
        explanation: `The waterflow alarm of ${timeOf(facts, flow.begin)} has not restored, though the supply valve was closed at ${timeOf(facts, closing.begin)} and the pipes should have drained by ${at(facts, to)}. The valve is reported open again now.`,
        advice:
          'Ask whether water runs from the nozzles or the drains. If not, the alarm line holds its pressure or its switch is stuck.',
        caution: cautions.water,
      }),
    },
  ];
}

/** A test was announced with waterflow expected, and none came by its end. */
export const alarmTestWithoutFlow: Rule = (facts) => {
  const test = facts.picture.tests.at(-1);
  const ends = test?.end?.receivedAt ?? test?.endsAt;
  if (test === undefined || ends === undefined || !hasPoint(facts.profile, 'waterflow')) return [];
  if (!test.expect.includes('waterflow') || test.seen.has('waterflow')) return [];
  return [
    {
      code: 'alarm-test-without-flow',
      occasion: test.begin.ref.id,
      dueAt_ms: ends + facts.spans.latency_ms,
      severity: 'high',
      evidence: [test.begin.ref, ...(test.end === undefined ? [] : [test.end.ref])],
      absence: true,
      say: () => ({
        explanation: `A test with waterflow expected was announced at ${timeOf(facts, test.begin)} and ended at ${at(facts, ends)}; no waterflow was reported. A real waterflow might not be reported either.`,
        advice:
          'Ask whether the test valve was opened, and whether the valve in the alarm line is open. Repeat the test while somebody reads the gauge at the switch.',
        caution: cautions.unprotected,
      }),
    },
  ];
};
