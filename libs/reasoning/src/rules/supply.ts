import { speakDuration } from '@tidemark/kernel';
import { hasPoint } from '@tidemark/riser';
import type { SignalName } from '@tidemark/signals';
import { classOf } from '@tidemark/signals';
import type { Rule } from '../condition.ts';
import { after, plus, supplyClosed, undisturbedFrom_ms } from '../facts.ts';
import { at, cautions, timeOf } from '../wording.ts';
import { isReleased } from './release.ts';

/** The supply valve is closed for too long with nothing going on that explains it, or an episode has gone quiet with it closed. */
export const supplyLeftClosed: Rule = (facts) => {
  const { closing, episode, spans, profile, picture } = facts;
  const free_ms = undisturbedFrom_ms(picture);
  if (!facts.open || episode === undefined || closing === undefined || !supplyClosed(facts) || free_ms === undefined)
    return [];
  const own = !episode.alarmed && closingExplainsIt(episode.opener);
  const long_ms = own
    ? Math.max(closing.begin.receivedAt, free_ms) + profile.limits.supplyLeftClosedSeconds * 1_000
    : Infinity;
  const heard_ms = picture.heardBesidesTest?.receivedAt ?? closing.begin.receivedAt;
  const quiet_ms = Math.max(heard_ms, free_ms) + spans.quiet_ms;
  return [
    {
      code: 'supply-left-closed',
      occasion: closing.begin.ref.id,
      dueAt_ms: Math.min(long_ms, quiet_ms) + spans.latency_ms,
      severity: 'high',
      evidence: [closing.begin.ref],
      absence: true,
      say: () => ({
        explanation: `The supply valve was reported not fully open at ${timeOf(facts, closing.begin)} and has not been reported open since. ${
          own
            ? 'No test and no impairment is declared.'
            : `Nothing has been heard from this riser for ${speakDuration(spans.quiet_ms)}.`
        } The riser may have no water.`,
        advice: 'Ask who closed it and why. Have it opened fully, or declare an impairment.',
        caution: cautions.unprotected,
      }),
    },
  ];
};

/** Openers that are no restoration: the valve's own closing, work that was announced, or a mere trouble. */
const closingExplainsIt = (opener: SignalName | 'test-begin' | 'impairment-begin'): boolean =>
  opener === 'test-begin' ||
  opener === 'impairment-begin' ||
  opener === 'test-mode' ||
  opener === 'supply-valve' ||
  classOf(opener) === 'trouble';

/** A released system's water stops and no valve supervisory signal comes. */
export const supervisoryMissing: Rule = (facts) => {
  const { flow, episode, profile, spans } = facts;
  if (episode === undefined || flow?.end === undefined || !hasPoint(profile, 'supply-valve')) return [];
  const released = isReleased(facts, flow);
  if (!released && (flow.primeLow === undefined || flow.testWindow !== undefined)) return [];
  if (episode.closings.some(({ end }) => end === undefined || after(end, flow.begin))) return [];
  const ended = flow.end;
  const to = plus(ended.ref.at, profile.limits.supervisoryMissingSeconds * 1_000);
  return [
    {
      code: 'supervisory-missing',
      occasion: flow.begin.ref.id,
      dueAt_ms: ended.receivedAt + profile.limits.supervisoryMissingSeconds * 1_000 + spans.latency_ms,
      severity: 'high',
      evidence: [flow.begin.ref, ended.ref],
      window: { from: ended.ref.at, to },
      absence: true,
      say: () => ({
        explanation: `Water stopped being reported at ${timeOf(facts, ended)}, and the supply valve was never reported closed (it should have been by ${at(facts, to)}). Either the supply has failed, or the valve was closed and its switch did not say so.`,
        advice:
          'Ask first whether the supply still has pressure, then whether somebody closed the valve. If they did, its switch is dead: nobody would see it left closed.',
        caution: `${cautions.fire} Do not count on water until the supply gauge has been read.`,
      }),
    },
  ];
};
