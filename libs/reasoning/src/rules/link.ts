import { formatInstant, instant, speakDuration } from '@tidemark/kernel';
import type { Condition, Rule } from '../condition.ts';
import type { Facts } from '../facts.ts';
import { at, cautions, timeOf } from '../wording.ts';
import { classOf } from '@tidemark/signals';

/** No signal within the supervision interval, or the last will arrived. */
export const staleLink: Rule = (facts) => {
  const { heard, link } = facts.picture;
  const { spans, profile } = facts;
  const supervision_ms = profile.link.supervisionSeconds * 1_000;
  const silent_ms = heard === undefined ? Infinity : heard.receivedAt + supervision_ms;
  const will = link.state === 'down' ? link.mark : undefined;
  const dueAt_ms = Math.min(silent_ms, will?.receivedAt ?? Infinity) + spans.latency_ms;
  const mark = will ?? heard;
  if (mark === undefined) return [];
  return [
    {
      code: 'stale-link',
      occasion: 'link',
      dueAt_ms,
      severity: 'high',
      evidence: [mark.ref, ...(heard === undefined || heard === mark ? [] : [heard.ref])],
      absence: true,
      say() {
        return {
          explanation:
            (will === undefined
              ? `Nothing has been heard from this riser for ${speakDuration(supervision_ms)}.`
              : `The link to this riser was reported down at ${timeOf(facts, will)}.`) +
            (heard === undefined
              ? ' Nothing was heard before that.'
              : ` The last signal came at ${at(facts, heard.receivedAt)}. What is shown is how things were then.`),
          advice:
            'Call the site: ask what the panel shows, and whether power and network are up. Note who watches the riser meanwhile.',
          caution: 'An alarm may be standing that cannot be seen from here.',
        };
      },
    },
  ];
};

/** Signals missing by their sequence numbers. */
export const sequenceGap: Rule = (facts) => {
  const conditions: Condition[] = [];
  for (const clock of facts.sources) {
    const { source } = clock;
    const newest = clock.missing.at(-1);
    const first = clock.missing[0];
    if (newest === undefined || first === undefined) continue;
    conditions.push({
      code: 'sequence-gap',
      occasion: source,
      dueAt_ms: first.shownAt + facts.spans.latency_ms,
      untilAt_ms: newest.shownAt + facts.spans.latency_ms + facts.spans.quiet_ms,
      severity: 'advisory',
      evidence: clock.missing.map(({ shownBy }) => shownBy),
      absence: true,
      say: () => ({
        explanation: `Signals from ${source} are missing: ${clock.missing.map(({ from, to }) => (from === to ? `number ${from}` : `numbers ${from} to ${to}`)).join(', ')} did not come. What they said is not known, and what is shown may lack it.`,
        advice: 'Compare with the event record at the panel, and look at the gateway and the line.',
        caution: '',
      }),
    });
  }
  return conditions;
};

/** The panel's clock is ahead by more than the limit, or behind by more and stays so. */
export const clockSkew: Rule = (facts) => {
  const limit_ms = facts.profile.limits.clockSkewSeconds * 1_000;
  const conditions: Condition[] = [];
  for (const clock of facts.sources) {
    const { source } = clock;
    const last = clock.delays_ms.at(-1);
    const ref = clock.lastRef;
    if (last === undefined || ref === undefined) continue;
    const ahead = last < -limit_ms;
    if (!ahead && !staysBehind(clock.delays_ms, limit_ms, facts.spans.latency_ms)) continue;
    conditions.push({
      code: 'clock-skew',
      occasion: source,
      dueAt_ms: clock.lastReceivedAt ?? 0,
      severity: 'advisory',
      evidence: [ref],
      absence: false,
      gist: ahead ? 'ahead' : 'behind',
      say: () => ({
        explanation: `The clock of ${source} is ${ahead ? 'ahead of' : 'behind'} the station's by about ${speakDuration(last)}: a signal stamped ${formatInstant(ref.at)} came at ${formatInstant(instant(ref.at + last))}. Times of this panel are shown as it sent them.`,
        advice:
          'Have the panel or its gateway take its time from a time server. Lengths between its own signals are still right.',
        caution: '',
      }),
    });
  }
  return conditions;
};

/** Three signals running, all behind by more than the limit and by about the same. */
const staysBehind = (delays_ms: readonly number[], limit_ms: number, like_ms: number): boolean =>
  delays_ms.length >= 3 &&
  delays_ms.every((delay_ms) => delay_ms > limit_ms) &&
  Math.max(...delays_ms) - Math.min(...delays_ms) <= like_ms;

/** A valid signal from a point that the profile does not have, or has as another signal. */
export const unknownPoint: Rule = (facts) => {
  const byPoint = new Map<string, Facts['picture']['strangers'][number]>();
  for (const stranger of facts.picture.strangers) {
    const name = `${stranger.point ?? ''}/${stranger.signal}`;
    if (!byPoint.has(name)) byPoint.set(name, stranger);
  }
  return [...byPoint].map(([occasion, stranger]) => ({
    code: 'unknown-point',
    occasion,
    dueAt_ms: stranger.mark.receivedAt,
    severity: 'advisory',
    evidence: [stranger.mark.ref],
    absence: false,
    say: () => ({
      explanation: `${strangerText(stranger)} (${timeOf(facts, stranger.mark)}). It was recorded, and moves nothing that the profile has installed.${stands(stranger) ? ' As an alarm or supervisory signal it keeps the riser from counting as in service until it restores.' : ''}`,
      advice: `${stands(stranger) ? 'Act on the signal first, as if its point were known. Then compare' : 'Compare'} the point list of the panel with the profile of this riser, and mend the one that is wrong.`,
      caution: stands(stranger) ? cautions.fire : 'Until the lists agree, what that point says is not understood here.',
    }),
  }));
};

/** An alarm or supervisory signal needs a person by itself, whichever point it comes from (CONTRACT 4). */
const stands = ({ signal }: Facts['picture']['strangers'][number]): boolean =>
  classOf(signal) === 'alarm' || classOf(signal) === 'supervisory';

function strangerText({ signal, point, installed, ambiguous }: Facts['picture']['strangers'][number]): string {
  if (ambiguous) return `A ${signal} signal came without a point number, and the profile has several such points`;
  if (point === undefined) return `A ${signal} signal came, and the profile has no such point`;
  if (installed === undefined) return `A ${signal} signal came from point ${point}, which the profile does not have`;
  return `A ${signal} signal came from point ${point}, which the profile has as ${installed}`;
}
