import { speakDuration } from '@tidemark/kernel';
import { hasPoint, releasingAlarm } from '@tidemark/riser';
import type { Mark } from '@tidemark/riser';
import type { Condition, Rule } from '../condition.ts';
import type { Facts } from '../facts.ts';
import { after, plus } from '../facts.ts';
import { at, timeOf } from '../wording.ts';
import { refillStart, restoringReset } from './prime.ts';

/** One step of the cascade: an effect that physics places in time after its cause. */
interface Expectation {
  readonly cause: Mark;
  readonly effect: Mark;
  readonly min_ms: number;
  readonly max_ms: number;
  /** Once the code of its absence has spoken, its lateness is no news. */
  readonly absentFrom_ms: number;
  readonly knowsEarly: boolean;
  readonly effectName: string;
  readonly causeName: string;
  readonly drift: string;
}

/** Signals of the cascade before or after their predicted window. */
export const earlyOrLate: Rule = (facts) =>
  facts.episode === undefined
    ? []
    : [toSolenoid(facts), toPrimeLow(facts), toWaterflow(facts), toPrimeBack(facts)].flatMap((each) =>
        each === undefined ? [] : judge(facts, each),
      );

function judge(facts: Facts, expected: Expectation): readonly Condition[] {
  const { spans } = facts;
  const { cause, effect } = expected;
  const after_ms = effect.order_ms - cause.order_ms;
  const early = expected.knowsEarly && after_ms < expected.min_ms - spans.scan_ms;
  const late = after_ms > expected.max_ms && effect.receivedAt <= expected.absentFrom_ms;
  if (!early && !late) return [];
  const window = { from: plus(cause.ref.at, expected.min_ms - spans.scan_ms), to: plus(cause.ref.at, expected.max_ms) };
  return [
    {
      code: early ? 'early-signal' : 'late-signal',
      occasion: effect.ref.id,
      dueAt_ms: effect.receivedAt + spans.latency_ms,
      untilAt_ms: effect.receivedAt + spans.latency_ms + spans.quiet_ms,
      severity: 'advisory',
      evidence: [cause.ref, effect.ref],
      window,
      absence: true,
      variant: expected.effectName,
      say: () => ({
        explanation: `The ${expected.effectName} came at ${timeOf(facts, effect)}, ${
          after_ms < 0 ? `${speakDuration(after_ms)} before` : `${speakDuration(after_ms)} after`
        } ${expected.causeName}; it was expected between ${at(facts, window.from)} and ${at(facts, window.to)}.`,
        advice: `Compare with earlier tests of this riser. ${expected.drift}`,
        caution: '',
      }),
    },
  ];
}

/** From the alarm to the release. Only its deadline is known: a pull station may pass over a delay. */
function toSolenoid(facts: Facts): Expectation | undefined {
  const { release, spans, picture } = facts;
  const alarm = release?.alarm ?? releasingAlarm(picture);
  if (release?.seen !== true || alarm === undefined || release.reset !== undefined) return undefined;
  if (!after(release.begin, alarm)) return undefined;
  return {
    cause: alarm,
    effect: release.begin,
    min_ms: 0,
    max_ms: spans.release_ms,
    absentFrom_ms: alarm.receivedAt + spans.release_ms + spans.latency_ms,
    knowsEarly: false,
    effectName: 'release',
    causeName: 'the alarm',
    drift: 'A slow release points at the panel: its delay, its verification or its output.',
  };
}

function toPrimeLow(facts: Facts): Expectation | undefined {
  const { release, windows, spans, picture } = facts;
  const low = picture.points.find(({ signal }) => signal === 'prime-pressure-low')?.activations.at(-1);
  if (release?.seen !== true || low === undefined || !near(facts, release.begin, low)) return undefined;
  const { min_s, max_s } = windows.releaseToPrimeLow;
  return {
    cause: release.begin,
    effect: low,
    min_ms: min_s * 1_000,
    max_ms: max_s * 1_000 + spans.scan_ms,
    absentFrom_ms: release.begin.receivedAt + max_s * 1_000 + spans.scan_ms + spans.latency_ms,
    knowsEarly: true,
    effectName: 'low priming pressure',
    causeName: 'the release',
    drift: 'A slow fall points at the solenoid or its vent line.',
  };
}

function toWaterflow(facts: Facts): Expectation | undefined {
  const { release, windows, spans } = facts;
  // The first waterflow after the release: a switch that bounces afterwards brings no second one.
  const flow = facts.episode?.flows.find(({ begin }) => release !== undefined && near(facts, release.begin, begin));
  if (release?.seen !== true || flow === undefined || flow.supplyClosed !== undefined) return undefined;
  if (flow.testWindow !== undefined && flow.release === undefined) return undefined;
  return {
    cause: release.begin,
    effect: flow.begin,
    min_ms: windows.releaseToWaterflow.min_s * 1_000,
    max_ms: spans.waterflow_ms,
    absentFrom_ms: release.begin.receivedAt + spans.waterflow_ms + spans.latency_ms,
    knowsEarly: true,
    effectName: 'waterflow',
    causeName: 'the release',
    drift: 'Late water points at a partly closed supply valve, a slow solenoid, or a plugged alarm line.',
  };
}

/** Not before the release by more than the latency, and not after the next reset: what lies outside belongs to another story. */
function near(facts: Facts, cause: Mark, effect: Mark): boolean {
  const reset = facts.episode?.resets.find(({ mark }) => after(mark, cause));
  return (
    effect.order_ms >= cause.order_ms - facts.spans.latency_ms && (reset === undefined || !after(effect, reset.mark))
  );
}

function toPrimeBack(facts: Facts): Expectation | undefined {
  const { windows, spans, episode } = facts;
  const reset = restoringReset(facts);
  const back = episode?.primeBack;
  if (reset === undefined || back === undefined || !hasPoint(facts.profile, 'solenoid') || reset.primeLow === undefined)
    return undefined;
  if (facts.release !== undefined && facts.release.end === undefined) return undefined;
  const start = refillStart(facts, reset);
  if (start === undefined || back.order_ms < start.order_ms - spans.latency_ms) return undefined;
  return {
    cause: start,
    effect: back,
    min_ms: windows.resetToPrimeRestored.min_s * 1_000,
    max_ms: spans.refill_ms,
    absentFrom_ms: start.receivedAt + spans.refill_ms + spans.latency_ms,
    knowsEarly: true,
    effectName: 'return of priming pressure',
    causeName: start === reset.mark ? 'the reset' : 'the last thing it waited for',
    drift: 'A slow return points at the strainer or the orifice of the priming line, or at air in the chamber.',
  };
}
