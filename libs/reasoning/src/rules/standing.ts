import { instant, speakDuration } from '@tidemark/kernel';
import type { Impairment, PointState } from '@tidemark/riser';
import { classOf } from '@tidemark/signals';
import type { Condition, Rule } from '../condition.ts';
import { at, cautions, timeOf } from '../wording.ts';

/** A point becomes active too often in too short a time (FACTS 6.25); not the panel's own signals, which only follow it. */
export const chattering: Rule = (facts) => {
  const { activations, inSeconds } = facts.profile.limits.chattering;
  const span_ms = inSeconds * 1_000;
  const conditions: Condition[] = [];
  for (const point of facts.picture.points) {
    const first = point.activations[0];
    const last = point.activations.at(-1);
    if (first === undefined || last === undefined || point.activations.length < activations) continue;
    if (classOf(point.signal) === 'panel') continue;
    if (last.order_ms - first.order_ms > span_ms) continue;
    conditions.push({
      code: 'chattering',
      occasion: `${point.point ?? ''} ${point.signal}`,
      dueAt_ms: last.receivedAt,
      untilAt_ms: last.receivedAt + span_ms,
      severity: 'advisory',
      evidence: point.activations.map(({ ref }) => ref),
      absence: false,
      gist: 'chattering',
      say: () => ({
        explanation: `${point.label} became active ${activations} times within ${speakDuration(last.order_ms - first.order_ms)}, last at ${timeOf(facts, last)}. It does not settle.`,
        advice: 'Do not take its last word for settled. Have the switch, its setting and its wiring looked at.',
        caution: classOf(point.signal) === 'alarm' ? cautions.fire : '',
      }),
    });
  }
  return conditions;
};

/** A trouble past its limit (NFPA 72, 26.3.8.4: personnel within 4 h; FACTS 1.37). */
export const troubleUnattended: Rule = (facts) => {
  const limit_ms = facts.profile.limits.troubleSeconds * 1_000;
  const standing = facts.picture.active.filter(
    ({ signal }) => classOf(signal) === 'trouble' || signal === 'panel-trouble',
  );
  const named = standing.some(({ signal }) => signal !== 'panel-trouble');
  return standing
    .filter(({ signal }) => !named || signal !== 'panel-trouble')
    .flatMap((point: PointState): readonly Condition[] => {
      const { since } = point;
      if (since === undefined) return [];
      return [
        {
          code: 'trouble-unattended',
          occasion: since.ref.id,
          dueAt_ms: since.receivedAt + limit_ms + facts.spans.latency_ms,
          severity: 'high',
          evidence: [since.ref],
          absence: true,
          variant: point.signal,
          say: () => ({
            explanation: `${point.label} has been in trouble since ${timeOf(facts, since)}, longer than ${speakDuration(limit_ms)}.`,
            advice: 'Ask whether somebody is on the way. A part of the alarm system may not work until it is mended.',
            caution: cautions.unprotected,
          }),
        },
      ];
    });
};

const day_ms = 86_400_000;

/** Declared impairments, added up over any 24 h, past their limit (NFPA 25, 15.5.2; FACTS 2.18). */
export const impairmentOverdue: Rule = (facts) => {
  const { impairments } = facts.picture;
  const open = impairments.find(({ end }) => end === undefined);
  if (open === undefined) return [];
  const limit_ms = facts.profile.limits.impairmentSeconds * 1_000;
  const reached_ms = limitReachedAt_ms(impairments, open, limit_ms);
  return [
    {
      code: 'impairment-overdue',
      occasion: open.begin.ref.id,
      dueAt_ms: reached_ms + facts.spans.latency_ms,
      severity: 'high',
      evidence: impairments
        .filter(({ end }) => end === undefined || end.receivedAt > reached_ms - day_ms)
        .map(({ begin }) => begin.ref),
      absence: true,
      say: () => ({
        explanation: `The riser has been declared impaired (${open.kind}: ${open.reason}) since ${at(facts, open.begin.receivedAt)}; the impairments of the last 24 h passed ${speakDuration(limit_ms)} at ${at(facts, instant(reached_ms))}.`,
        advice:
          'See that one of the measures is in place: evacuation, a fire watch, a temporary water supply, or control of ignition sources; and tell the impairment coordinator.',
        caution: 'NFPA 25 names the measures; local codes and the authority having jurisdiction decide.',
      }),
    },
  ];
};

/**
 * When the time impaired within the last 24 h reaches the limit. While an impairment stands, that time grows, except
 * while an earlier one slides out of the 24 h; so the moment is found piece by piece.
 */
export function limitReachedAt_ms(impairments: readonly Impairment[], open: Impairment, limit_ms: number): number {
  const earlier = impairments.flatMap(({ begin, end }) =>
    end === undefined ? [] : [{ from: begin.receivedAt, to: end.receivedAt }],
  );
  const begin = open.begin.receivedAt;
  const within = (t: number): number =>
    t -
    Math.max(begin, t - day_ms) +
    earlier.reduce((sum, { from, to }) => sum + Math.max(0, to - Math.max(from, t - day_ms)), 0);
  const edges = earlier.flatMap(({ from, to }) => [from + day_ms, to + day_ms]).filter((edge) => edge > begin);
  const stops = [begin, ...edges.sort((one, other) => one - other)];
  for (const [index, from] of stops.entries()) {
    const to = stops[index + 1] ?? Infinity;
    const sum = within(from);
    if (sum >= limit_ms) return from;
    const growing = to === Infinity || within(to) > sum;
    if (growing && from + (limit_ms - sum) <= to) return from + (limit_ms - sum);
  }
  return Infinity;
}
