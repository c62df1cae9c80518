import { instant } from '@tidemark/kernel';
import type { Case, Occurrence } from './case.ts';
import { slack_ms, unsure } from './case.ts';
import type { HeardSignal } from './heard-story.ts';
import { missingNumbers } from './link-codes.ts';
import { isOn } from './known.ts';
import { refillStart } from './priming-codes.ts';
import { releases } from './releases.ts';

/** A span of the cascade whose both ends are signals. */
interface Span {
  readonly name: 'releaseToPrimeLow' | 'releaseToWaterflow' | 'resetToPrimeRestored';
  readonly start: HeardSignal;
  readonly end: HeardSignal;
}

/** Every span of the cascade that was told; those without a seen release know no early and no late (CONTRACT 5.1). */
function spans(given: Case): readonly Span[] {
  const seen = releases(given, given.all).filter(({ seen: isSeen }) => isSeen);
  const after = seen.flatMap(({ over, signal }): readonly Span[] => {
    const first = (name: 'prime-pressure-low' | 'waterflow'): HeardSignal | undefined => {
      if (given.all.of(name).some((each) => each.from.at < signal.at && isOn(each, signal.at))) return undefined;
      return given.all.of(name).find(({ from }) => from.at >= signal.at && from.at < over)?.from;
    };
    const [low, flow] = [first('prime-pressure-low'), first('waterflow')];
    return [
      ...(low === undefined ? [] : [{ name: 'releaseToPrimeLow' as const, start: signal, end: low }]),
      ...(flow === undefined ? [] : [{ name: 'releaseToWaterflow' as const, start: signal, end: flow }]),
    ];
  });
  const refills = given.all.of('prime-pressure-low').flatMap((low): readonly Span[] => {
    const reset = given.all.resets.findLast((each) => isOn(low, each.at));
    const start = reset === undefined ? undefined : refillStart(given, reset, low);
    if (start === undefined || low.to === undefined) return [];
    return [{ name: 'resetToPrimeRestored', start, end: low.to }];
  });
  return [...after, ...refills];
}

/** "A signal of the cascade before its predicted window". */
export const earlySignal = (given: Case): readonly Occurrence[] => [
  ...judged(given, (span_ms, { min }) => min - given.scan_ms - span_ms),
  ...beforeItsStart(given),
];

/** "… or after it", until the code of its absence has spoken. */
export const lateSignal = (given: Case): readonly Occurrence[] => [
  ...judged(given, (span_ms, { max }) => span_ms - given.scan_ms - max),
  ...lateRelease(given),
];

/** How close to the edge of a window the rounding of clocks leaves it open. */
const edge_ms = 100;

function judged(
  given: Case,
  beyond_ms: (span_ms: number, window: { readonly min: number; readonly max: number }) => number,
): readonly Occurrence[] {
  const all = spans(given);
  return all.flatMap((span) => {
    const { end, name, start } = span;
    const window = given.window_ms(name);
    const over_ms = beyond_ms(end.at - start.at, window);
    const again = all.find((each) => each.name === name) !== span;
    const raised = given.at(end.received + given.latency_ms);
    // What came before may have narrowed the window (CONTRACT 5.2); by how much is the twin's own.
    if (over_ms <= edge_ms) return again || over_ms > -edge_ms ? unsure([raised]) : [];
    const waited = start.received + window.max + given.scan_ms + given.latency_ms;
    const spoken = end.received - waited;
    // Open: priming pressure low has no code of its own absence but `silent-point`, which waits for water.
    if (spoken > slack_ms && name !== 'releaseToPrimeLow') return [];
    return again || spoken > -slack_ms || clockMoved(given, span) ? unsure([raised]) : [raised];
  });
}

/**
 * Open: priming pressure that is back before the reset or the waterflow's restoral, of which the later starts its window
 * (the chamber can refill while the alarm line still bleeds down); and its signal before what it should follow.
 */
const beforeItsStart = (given: Case): readonly Occurrence[] =>
  given.all.of('prime-pressure-low').flatMap(({ from, to }) => {
    const energized = to === undefined ? undefined : given.all.at('solenoid', to.at);
    const ahead = given.all.of('solenoid').some((each) => each.from.at > from.at && each.from.at - from.at < 5_000);
    return [
      ...(to !== undefined && (energized !== undefined || given.all.at('waterflow', to.at) !== undefined)
        ? [given.at(to.received + given.latency_ms, false)]
        : []),
      ...(ahead ? [given.at(from.received + given.latency_ms, false)] : []),
    ];
  });

/** Open: whether the solenoid is of the cascade with a window of its own, from the release delay to its deadline. */
const lateRelease = (given: Case): readonly Occurrence[] =>
  given.all.of('solenoid').flatMap(({ from }) => {
    const alarm = given.all.alarms.findLast(({ at }) => at <= from.at);
    const delay_ms = 1_000 * given.profile.panel.releaseDelaySeconds + given.scan_ms;
    return alarm === undefined || from.at - alarm.at <= delay_ms
      ? []
      : [given.at(from.received + given.latency_ms, false)];
  });

/** Whether the panel's clock moved against the true time between two signals. */
const clockMoved = (_given: Case, { end, start }: Span): boolean =>
  end.observed !== undefined &&
  start.observed !== undefined &&
  Math.abs(end.observed - start.observed - (end.at - start.at)) > edge_ms;

/** "A point stayed silent through what must have moved it, proven by other signals". */
export function silentPoint(given: Case): readonly Occurrence[] {
  const swallowed = missingNumbers(given).length > 0;
  const found = [...silentPriming(given), ...silentSolenoid(given)];
  return swallowed ? unsure(found) : found;
}

/** After a release water flows, and priming pressure was never reported low. */
function silentPriming(given: Case): readonly Occurrence[] {
  if (!given.has('prime-pressure-low')) return [];
  return releases(given, given.all).flatMap((release) => {
    const flow = given.all.of('waterflow').find(({ from }) => from.at >= release.at && from.at < release.over);
    if (flow === undefined) return [];
    const raised = given.absent(flow.from.received, (known) => known.of('prime-pressure-low').length === 0);
    const [only] = raised;
    if (only === undefined) return [];
    // Its deadline is the flow's own time or the end of its own window, whichever is later.
    const to = instant(only.to + given.window_ms('releaseToPrimeLow').max + given.scan_ms);
    return [{ ...only, to, sure: only.sure && release.seen && to < given.story.until }];
  });
}

/** Alarm, priming pressure low and water, and the solenoid was never reported. */
function silentSolenoid(given: Case): readonly Occurrence[] {
  if (!given.has('solenoid') || given.all.of('solenoid').length > 0) return [];
  return given.all.of('waterflow').flatMap((flow) => {
    const low = given.all.at('prime-pressure-low', flow.from.at);
    const alarm = given.all.initiating(flow.from.at)[0];
    if (low === undefined || alarm === undefined) return [];
    const start = Math.max(flow.from.received, low.from.received, alarm.from.received);
    return given.absent(start, (known) => known.of('solenoid').length === 0);
  });
}

/**
 * "The pattern is right and the names are permuted": waterflow at once after the release and priming pressure low where
 * water is due; priming pressure back while the release still holds, and waterflow back as a refill after the reset.
 * Open: a part of the pattern, as where the panel's retard delays what it takes for waterflow.
 */
export function pointsSwapped(given: Case): readonly Occurrence[] {
  return releases(given, given.all).flatMap((release): readonly Occurrence[] => {
    const flow = given.all.of('waterflow').find(({ from }) => from.at >= release.at && from.at < release.over);
    const low = given.all.of('prime-pressure-low').find(({ from }) => from.at >= release.at && from.at < release.over);
    if (flow === undefined || low === undefined) return [];
    const reset = given.all.resets.find(({ at }) => at > low.from.at);
    const drainedFirst =
      low.to !== undefined && low.to.at < release.over && (reset === undefined || low.to.at < reset.at);
    const refill_ms = given.window_ms('resetToPrimeRestored').max + given.scan_ms;
    const refilled =
      reset !== undefined && flow.to !== undefined && flow.to.at >= reset.at && flow.to.at - reset.at <= refill_ms;
    const reversed = low.from.at > flow.from.at;
    if (!reversed && !(drainedFirst && refilled)) return [];
    const from = given.at(flow.from.received).from;
    const to = flow.to === undefined ? given.story.until : given.at(flow.to.received + given.latency_ms).to;
    return [{ from, to, sure: reversed && drainedFirst && refilled && release.seen }];
  });
}
