import type { Windows } from '@tidemark/hydraulics';
import type { Instant } from '@tidemark/kernel';
import type { Closing, Episode, Flow, Mark, Picture, Profile, Release, Reset, SourceClock } from '@tidemark/riser';
import { activePoint, standIn } from '@tidemark/riser';
import type { ContactName } from '@tidemark/signals';
import type { Spans } from './spans.ts';

/** One time the release acted. Where no point reports it, an initiating alarm that releases stands for it. */
export interface ReleaseFact extends Release {
  readonly seen: boolean;
  /** When it is taken as done, on the station's clock: at once where it is seen, else at the release deadline. */
  readonly doneAt_ms: number;
}

/** Everything the rules look at: the story, what is installed, and what follows from it. No clock. */
export interface Facts {
  readonly picture: Picture;
  readonly profile: Profile;
  readonly windows: Windows;
  readonly spans: Spans;
  /** The open episode, or the last one while nothing new has begun. */
  readonly episode: Episode | undefined;
  readonly open: boolean;
  readonly release: ReleaseFact | undefined;
  readonly flow: Flow | undefined;
  readonly closing: Closing | undefined;
  readonly sources: readonly SourceClock[];
}

/** Gathers the facts once per change of the story. */
export function factsOf(picture: Picture, sources: readonly SourceClock[], spans: Spans): Facts {
  const { profile, episode } = picture;
  return {
    picture,
    profile,
    windows: spans.windows,
    spans,
    episode,
    open: episode !== undefined && episode.end === undefined,
    release: lastRelease(picture, spans),
    flow: episode?.flows.at(-1),
    closing: episode?.closings.at(-1),
    sources,
  };
}

function lastRelease(picture: Picture, spans: Spans): ReleaseFact | undefined {
  const seen = picture.episode?.releases.at(-1);
  if (seen !== undefined) return { ...seen, seen: true, doneAt_ms: seen.begin.receivedAt };
  const standing = standIn(picture);
  if (standing === undefined) return undefined;
  const { begin: alarm, end } = standing;
  const closing = picture.episode?.closings.findLast(({ begin }) => begin.order_ms <= alarm.order_ms);
  const closed =
    closing === undefined || (closing.end !== undefined && closing.end.order_ms < alarm.order_ms)
      ? undefined
      : closing.begin;
  return {
    begin: alarm,
    end,
    alarm,
    supplyClosed: closed,
    flowAlready: false,
    reset: picture.episode?.resets.findLast(({ mark }) => mark.order_ms < alarm.order_ms),
    seen: false,
    doneAt_ms: alarm.receivedAt + spans.release_ms,
  };
}

/** When a contact that is active became so. */
export const activeSince = (facts: Facts, signal: ContactName): Mark | undefined =>
  activePoint(facts.picture, signal)?.since;

/** Whether one moment stands later in the story than another. */
export const after = (one: Mark | undefined, other: Mark | undefined): boolean =>
  one !== undefined && (other === undefined || one.order_ms > other.order_ms);

/** The later of two moments in the story. */
export const latest = (...marks: readonly (Mark | undefined)[]): Mark | undefined =>
  marks.reduce(
    (best, mark) => (mark !== undefined && (best === undefined || mark.order_ms > best.order_ms) ? mark : best),
    undefined,
  );

/** The last time the valve tripped in this episode, by its release or by water that no test brought. */
export function lastTrip(facts: Facts): Mark | undefined {
  const flow = facts.episode?.flows.findLast(
    ({ testWindow, release }) => testWindow === undefined || release !== undefined,
  );
  return latest(facts.release?.begin, flow?.begin);
}

/** The last reset that found every alarm point restored. */
export const lastGoodReset = (episode: Episode | undefined): Reset | undefined =>
  episode?.resets.findLast(({ early }) => early.length === 0);

/** The supply valve is off normal now. */
export const supplyClosed = (facts: Facts): boolean => facts.closing !== undefined && facts.closing.end === undefined;

/** The end of every test window and declared impairment so far; undefined while one is open without a known end. */
export function undisturbedFrom_ms(picture: Picture): number | undefined {
  let from = 0;
  for (const { end, endsAt } of picture.tests) {
    const ended = end?.receivedAt ?? endsAt;
    if (ended === undefined) return undefined;
    from = Math.max(from, ended);
  }
  for (const { end } of picture.impairments) {
    if (end === undefined) return undefined;
    from = Math.max(from, end.receivedAt);
  }
  return from;
}

/** Adds to a moment of the panel's clock. */
export const plus = (at: Instant, ms: number): Instant => (at + Math.round(ms)) as Instant;
