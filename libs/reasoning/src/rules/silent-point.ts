import { hasPoint, releasingAlarm } from '@tidemark/riser';
import type { Condition, Rule } from '../condition.ts';
import type { Facts } from '../facts.ts';
import { activeSince } from '../facts.ts';
import { cautions, timeOf } from '../wording.ts';

/** A point stayed silent through what must have moved it, proven by other signals. A gap in the sequence may have swallowed it. */
export const silentPoint: Rule = (facts) =>
  facts.open && !facts.sources.some(({ missing }) => missing.length > 0)
    ? [...primeSilent(facts), ...solenoidSilent(facts)]
    : [];

/** After a release water flows, and priming pressure was never reported low: the chamber must have vented. */
function primeSilent(facts: Facts): readonly Condition[] {
  const { release, flow, spans, windows, picture } = facts;
  const point = picture.points.find(({ signal }) => signal === 'prime-pressure-low');
  if (release?.seen !== true || flow === undefined || point === undefined) return [];
  if (flow.testWindow !== undefined && flow.release === undefined) return [];
  if (flow.begin.order_ms < release.begin.order_ms - spans.latency_ms || point.state === 'active') return [];
  const last = point.activations.at(-1);
  if (last !== undefined && last.order_ms >= release.begin.order_ms - spans.latency_ms) return [];
  const vented_ms = release.begin.receivedAt + windows.releaseToPrimeLow.max_s * 1_000 + spans.scan_ms;
  return [
    {
      code: 'silent-point',
      occasion: `${release.begin.ref.id} ${point.point ?? point.signal}`,
      dueAt_ms: Math.max(flow.begin.receivedAt, vented_ms) + spans.latency_ms,
      severity: 'high',
      evidence: [release.begin.ref, flow.begin.ref],
      absence: true,
      variant: 'prime',
      say: () => ({
        explanation: `The release acted at ${timeOf(facts, release.begin)} and water was reported at ${timeOf(facts, flow.begin)}; the valve opens only when the priming chamber loses its pressure, and that was never reported (${point.label}).`,
        advice:
          'Have the priming pressure switch and its set point looked at: as it is, nobody would be warned before the valve trips by itself.',
        caution: cautions.record,
      }),
    },
  ];
}

/** Alarm, priming pressure low and water, and the solenoid was never reported. */
function solenoidSilent(facts: Facts): readonly Condition[] {
  const { flow, spans, picture, episode } = facts;
  const alarm = releasingAlarm(picture);
  const low = activeSince(facts, 'prime-pressure-low');
  if (!hasPoint(facts.profile, 'solenoid') || alarm === undefined || low === undefined || flow === undefined) return [];
  if (activeSince(facts, 'release-disconnect') !== undefined) return [];
  const from_ms = alarm.order_ms - spans.latency_ms;
  if (low.order_ms < from_ms || flow.begin.order_ms < from_ms) return [];
  if (episode?.releases.some(({ begin }) => begin.order_ms >= from_ms) === true) return [];
  return [
    {
      code: 'silent-point',
      occasion: `${alarm.ref.id} solenoid`,
      dueAt_ms: Math.max(alarm.receivedAt + spans.release_ms, low.receivedAt, flow.begin.receivedAt) + spans.latency_ms,
      severity: 'high',
      evidence: [alarm.ref, low.ref, flow.begin.ref],
      absence: true,
      variant: 'solenoid',
      say: () => ({
        explanation: `An alarm (${timeOf(facts, alarm)}), low priming pressure (${timeOf(facts, low)}) and water (${timeOf(facts, flow.begin)}) were reported, as after a release, but the release solenoid was never reported.`,
        advice: 'Ask whether the panel shows its release as active, or whether somebody used the local manual release.',
        caution: cautions.record,
      }),
    },
  ];
}
