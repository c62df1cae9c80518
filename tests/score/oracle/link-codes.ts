import type { Instant } from '@tidemark/kernel';
import type { Case, Occurrence } from './case.ts';
import { slack_ms } from './case.ts';
import type { HeardSignal } from './heard-story.ts';
import { releaseWithoutFlow } from './release-codes.ts';

/** "No signal within the supervision interval, or the last will arrived". */
export function staleLink(given: Case): readonly Occurrence[] {
  return [...silences(given), ...wills(given)].toSorted((one, other) => one.from - other.from);
}

function silences(given: Case): readonly Occurrence[] {
  const { links, receipts, until } = given.story;
  const interval_ms = 1_000 * given.profile.link.supervisionSeconds;
  const ups = links.filter(({ link }) => link === 'up').map(({ received }) => received);
  const heard = [...receipts].toSorted((one, other) => one - other);
  return heard.flatMap((last, index): readonly Occurrence[] => {
    const next = heard[index + 1] ?? Infinity;
    if (next <= last + interval_ms - slack_ms) return [];
    // Open: whether the announcement of a link is a sign of life that counts.
    const up = ups.filter((at) => at > last && at < Math.min(next, last + interval_ms));
    const from = last + interval_ms;
    const to = Math.max(last, ...up) + interval_ms + given.latency_ms + slack_ms;
    if (from > until) return [];
    return [{ from: given.at(from).from, to: given.at(to).to, sure: next > to && to < until }];
  });
}

const wills = (given: Case): readonly Occurrence[] =>
  given.story.links
    .filter(({ link }) => link === 'down')
    .map(({ received }) => {
      const due = received + given.latency_ms;
      // Open: a link that is back within the latency.
      const back = given.story.links.some(
        (each) => each.link === 'up' && each.received > received && each.received <= due + slack_ms,
      );
      return { from: given.at(received).from, to: given.at(due).to, sure: !back && due < given.story.until };
    });

/** A signal that shows that others before it are missing, and how many never came at all. */
interface Gap {
  readonly signal: HeardSignal;
  readonly missing: readonly number[];
}

/** Gaps in the numbers of a source, in the order of receipt; a lower number after a new session begins anew. */
export function missingNumbers(given: Case): readonly Gap[] {
  const { links, signals } = given.story;
  const bySource = new Map<string, HeardSignal[]>();
  for (const signal of signals.toSorted(
    (one, other) => one.received - other.received || (one.sequence ?? 0) - (other.sequence ?? 0),
  ))
    if (signal.sequence !== undefined) bySource.set(signal.source, [...(bySource.get(signal.source) ?? []), signal]);
  return [...bySource.values()].flatMap((all) => {
    const gaps: Gap[] = [];
    let [session, highest] = [0, undefined as number | undefined];
    for (const signal of all) {
      const number = signal.sequence ?? 0;
      const now = links.filter(({ link, received }) => link === 'up' && received <= signal.received).length;
      if (now > session && highest !== undefined && number < highest) highest = undefined;
      session = now;
      if (highest !== undefined && number > highest + 1)
        gaps.push({
          signal,
          missing: Array.from({ length: number - highest - 1 }, (_, index) => (highest ?? 0) + 1 + index),
        });
      highest = Math.max(highest ?? number, number);
    }
    return gaps;
  });
}

/** "Signals missing by sequence"; the missing ones may come within the latency. */
export const sequenceGap = (given: Case): readonly Occurrence[] =>
  missingNumbers(given).flatMap(({ missing, signal }) =>
    given.absent(signal.received, (known) => {
      const numbers = new Set(
        [...known.signals].filter(({ source }) => source === signal.source).map(({ sequence }) => sequence),
      );
      return missing.some((number) => !numbers.has(number));
    }),
  );

/**
 * "A signal later than `latencySeconds` …, which changes a finding or the phase": sure of late water that takes back
 * `release-without-flow`. What else a late signal changes only a reasoner can say, so it is open.
 */
export const outOfOrder = (given: Case): readonly Occurrence[] =>
  lateSignals(given).map((late) => ({
    from: given.at(late.received).from,
    to: given.at(late.received + given.latency_ms).to,
    sure: lateSignals(given).some(
      (each) => Math.abs(each.received - late.received) < slack_ms && takesBack(given, each),
    ),
  }));

function takesBack(given: Case, late: HeardSignal): boolean {
  if (late.name !== 'waterflow' || late.state !== 'active' || !isClearlyLate(given, late)) return false;
  return releaseWithoutFlow(given).some(({ sure, to }) => sure && to < late.received);
}

const isClearlyLate = ({ latency_ms }: Case, { at, received }: HeardSignal): boolean =>
  received - at > latency_ms + slack_ms;

/** Signals that were later than the latency against the least delay of their source, in truth or by the panel's clock. */
export function lateSignals(given: Case): readonly HeardSignal[] {
  const { signals } = given.story;
  const limit_ms = given.latency_ms - 500;
  const least = new Map<string, number>();
  return signals
    .toSorted((one, other) => one.received - other.received)
    .filter(({ at, observed, received, source }) => {
      const delay_ms = received - (observed ?? at);
      const least_ms = Math.min(least.get(source) ?? Infinity, delay_ms);
      least.set(source, least_ms);
      return received - at > limit_ms || delay_ms - least_ms > limit_ms;
    });
}

/** "The panel's clock is ahead by more than the limit (at once), or behind by more and stays so". */
export function clockSkew(given: Case): readonly Occurrence[] {
  const limit_ms = given.limit_ms('clockSkewSeconds');
  const clocked = given.story.signals.filter(({ observed }) => observed !== undefined);
  const heard = clocked.toSorted((one, other) => one.received - other.received);
  const behind_ms = ({ observed, received }: HeardSignal): number => received - (observed ?? received);
  const ahead = heard.filter((each) => -behind_ms(each) > limit_ms - 1_000);
  const running = heard.filter((each, index) => {
    const three = heard.slice(Math.max(0, index - 2), index + 1);
    return (
      three.length === 3 &&
      three.every((other) => behind_ms(other) > limit_ms - 1_000) &&
      like(three.map(behind_ms), given)
    );
  });
  const clearly = running.filter((_each, index) => index === 0).map((each) => behind_ms(each) > limit_ms + 1_000);
  return [
    ...ahead.map((each) => given.at(each.received, -behind_ms(each) > limit_ms + 1_000)),
    // Open: a line that is slow, whose signals look like those of a clock that is behind.
    ...running.map((each) => given.at(each.received, clearly[0] === true && !slowLine(given, each.received))),
  ].toSorted((one, other) => one.from - other.from);
}

const like = (delays: readonly number[], { latency_ms }: Case): boolean =>
  Math.max(...delays) - Math.min(...delays) <= latency_ms;

/** Whether it is the line that is late at that moment, not the clock: known only where the true times are. */
const slowLine = (given: Case, at: Instant): boolean =>
  given.story.signals.some(
    (each) => Math.abs(each.received - at) < 60_000 && each.received - each.at > given.latency_ms,
  );

/** Whether the line was so slow for so long that its signals look like those of a clock that is behind. */
export const looksLikeClock = (given: Case): boolean =>
  clockSkew(given).some(({ from }) =>
    given.story.signals.some(
      (each) => each.received >= from && each.received - each.at > given.limit_ms('clockSkewSeconds'),
    ),
  );
