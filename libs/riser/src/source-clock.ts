import type { Instant } from '@tidemark/kernel';
import { pushed } from './bounded.ts';
import type { EventReference } from './event.ts';

/** What is known of the clock and the path of one source, from its signals alone. */
export interface SourceClock {
  readonly source: string;
  /** Counts the settings of the clock: a step begins a new era, whose signals are placed by its own least delay. */
  readonly era: number;
  /** The least of receipt minus panel's clock in this era, in ms: transmission at its quickest plus the clock's error. */
  readonly leastDelay_ms: number;
  /** The newest delays, oldest first. */
  readonly delays_ms: readonly number[];
  /** The newest sequence numbers in order, and how many are missing below the highest. */
  readonly highest: bigint | undefined;
  readonly missing: readonly MissingRange[];
  readonly session: string | undefined;
  /** Nothing numbered has come since the session changed, so a lower number starts anew. */
  readonly sessionIsNew: boolean;
  /** Signals stored before the session began: when the last one came, the beginning at first, and none was said before. */
  readonly burst: { readonly at: Instant; readonly notBefore: Instant } | undefined;
  /** The newest signal with a clock. */
  readonly lastRef: EventReference | undefined;
  readonly lastReceivedAt: Instant | undefined;
}

/** Sequence numbers that did not come, and the signal that showed it. */
export interface MissingRange {
  readonly from: bigint;
  readonly to: bigint;
  readonly shownAt: Instant;
  readonly shownBy: EventReference;
}

/** So many delays running decide whether a clock is off or a signal was late (CONTRACT 5.3, clock-skew). */
export const delaysRunning = 3;

/** Missing ranges remembered per source. */
export const missingLimit = 16;

/** What one signal says about its source's clock. */
export interface Timing {
  readonly clock: SourceClock;
  /** By how much it was slower than its source's quickest. */
  readonly lateness_ms: number;
  readonly newEra: boolean;
  readonly leastChanged: boolean;
}

/** Limits of the profile that bear on clocks. */
export interface ClockLimits {
  readonly latency_ms: number;
  readonly skew_ms: number;
}

/** What is known of a source that has not been heard. */
export const blankClock = (source: string): SourceClock => ({
  source,
  era: 0,
  leastDelay_ms: 0,
  delays_ms: [],
  highest: undefined,
  missing: [],
  session: undefined,
  sessionIsNew: false,
  burst: undefined,
  lastRef: undefined,
  lastReceivedAt: undefined,
});

/** One signal as its source's clock sees it. */
export interface TimedSignal {
  /** Receipt minus panel's clock. */
  readonly delay_ms: number;
  readonly ref: EventReference;
  readonly receivedAt: Instant;
}

/** Learns from one signal's two clocks. A jump ahead begins a new era at once; a jump back only when it stays so. */
export function timeSignal(known: SourceClock, signal: TimedSignal, limits: ClockLimits): Timing {
  const { delay_ms, receivedAt } = signal;
  if (known.burst !== undefined && wasStored(known, signal, limits))
    return {
      clock: settled({ ...known, burst: { ...known.burst, at: receivedAt } }, known, signal),
      lateness_ms: delay_ms - known.leastDelay_ms,
      newEra: false,
      leastChanged: false,
    };
  const delays_ms = pushed(known.delays_ms, delay_ms, delaysRunning);
  if (delays_ms.length === 1)
    return {
      clock: settled(known, { era: known.era, leastDelay_ms: delay_ms, delays_ms }, signal),
      lateness_ms: 0,
      newEra: false,
      leastChanged: false,
    };
  const steppedAhead = known.leastDelay_ms - delay_ms > limits.skew_ms;
  const steppedBack = !steppedAhead && staysBehind(delays_ms, known.leastDelay_ms, limits);
  if (steppedAhead || steppedBack) {
    const leastDelay_ms = steppedBack ? Math.min(...delays_ms) : delay_ms;
    const setting = { era: known.era + 1, leastDelay_ms, delays_ms: steppedBack ? delays_ms : [delay_ms] };
    return {
      clock: settled(known, setting, signal),
      lateness_ms: delay_ms - leastDelay_ms,
      newEra: true,
      leastChanged: true,
    };
  }
  const leastDelay_ms = Math.min(known.leastDelay_ms, delay_ms);
  return {
    clock: settled(known, { era: known.era, leastDelay_ms, delays_ms }, signal),
    lateness_ms: delay_ms - leastDelay_ms,
    newEra: false,
    leastChanged: leastDelay_ms !== known.leastDelay_ms,
  };
}

/** Member by member: spreading an object costs many times as much, and this is done with every signal. */
const settled = (
  { source, highest, missing, session, sessionIsNew, burst }: SourceClock,
  { era, leastDelay_ms, delays_ms }: Pick<SourceClock, 'era' | 'leastDelay_ms' | 'delays_ms'>,
  { ref, receivedAt }: TimedSignal,
): SourceClock => ({
  source,
  era,
  leastDelay_ms,
  delays_ms,
  highest,
  missing,
  session,
  sessionIsNew,
  burst,
  lastRef: ref,
  lastReceivedAt: receivedAt,
});

/**
 * A signal that comes in the burst at the beginning of a session, and by its own time was said after the last one of the
 * session before, waited for the path and says nothing of the clock. Without this a stored trip, whose signals are
 * alike late, would pass for a clock that is behind. Only a burst: a panel whose clock stood still while it was without
 * power goes on speaking.
 */
const wasStored = (
  { burst, delays_ms, leastDelay_ms }: SourceClock,
  { delay_ms, receivedAt }: TimedSignal,
  { latency_ms }: ClockLimits,
): boolean =>
  burst !== undefined &&
  delays_ms.length > 0 &&
  delay_ms - leastDelay_ms > latency_ms &&
  receivedAt - burst.at <= latency_ms &&
  receivedAt - delay_ms + leastDelay_ms >= burst.notBefore - latency_ms;

/** Three signals running, each slower than the least by more than the skew limit, with like delays. */
const staysBehind = (delays_ms: readonly number[], least_ms: number, limits: ClockLimits): boolean =>
  delays_ms.length === delaysRunning &&
  delays_ms.every((delay_ms) => delay_ms - least_ms > limits.skew_ms) &&
  Math.max(...delays_ms) - Math.min(...delays_ms) <= limits.latency_ms;

/** Follows the sequence numbers of a source: what is missing, what came after all. */
export function countSequence(
  before: SourceClock,
  sequence: bigint,
  shown: Omit<MissingRange, 'from' | 'to'>,
): SourceClock {
  const clock = { ...before, sessionIsNew: false };
  const { highest } = clock;
  const startsAnew = before.sessionIsNew && highest !== undefined && sequence <= highest;
  if (highest === undefined || startsAnew) return { ...clock, highest: sequence };
  if (sequence > highest + 1n) {
    const range: MissingRange = { from: highest + 1n, to: sequence - 1n, ...shown };
    return { ...clock, highest: sequence, missing: [...clock.missing, range].slice(-missingLimit) };
  }
  if (sequence > highest) return { ...clock, highest: sequence };
  return { ...clock, missing: clock.missing.flatMap((range) => without(range, sequence)) };
}

function without(range: MissingRange, sequence: bigint): readonly MissingRange[] {
  if (sequence < range.from || sequence > range.to) return [range];
  const parts: MissingRange[] = [];
  if (sequence > range.from) parts.push({ ...range, to: sequence - 1n });
  if (sequence < range.to) parts.push({ ...range, from: sequence + 1n });
  return parts;
}

/**
 * After a new session a lower number starts anew; a higher one goes on, so that what was lost with the old session is
 * missing. What was missing before stays missing.
 */
export const newSession = (clock: SourceClock, session: string | undefined, at: Instant): SourceClock =>
  session === undefined || session === clock.session
    ? clock
    : { ...clock, session, sessionIsNew: true, burst: { at, notBefore: clock.lastReceivedAt ?? at } };
