import type { Instant } from '@tidemark/kernel';
import { pushed } from './bounded.ts';
import type { Entry, Story } from './chapters.ts';
import { entriesOf, place, pruned, retold } from './chapters.ts';
import type { EventReference, RiserEvent } from './event.ts';
import type { Profile } from './profile.ts';
import type { SourceClock, Timing } from './source-clock.ts';
import { blankClock, countSequence, newSession, timeSignal } from './source-clock.ts';
import type { StoryEvent } from './tell.ts';
import { blankPicture } from './tell.ts';

/** How late the newest signal was, when it came later than the latency allows. */
interface Lateness {
  readonly ref: EventReference;
  readonly receivedAt: Instant;
  readonly lateness_ms: number;
}

/** The state of one riser: the fold of its events, in the order in which they happened rather than came. */
export interface RiserState extends Story {
  readonly profile: Profile;
  /** What is known of the clock of each source, the source first heard first. */
  readonly sources: readonly SourceClock[];
  /** Station time: the greatest receipt seen. */
  readonly now: Instant;
  readonly signals: number;
  readonly repeats: number;
  readonly nextIndex: number;
  /** Set when the newest event was a signal later than the latency. */
  readonly late: Lateness | undefined;
}

/** Sources remembered per riser. */
const sourceLimit = 32;

/** A riser that nothing was heard of. */
export const initialRiser = (profile: Profile, now: Instant): RiserState => ({
  profile,
  chapters: [],
  picture: blankPicture(profile),
  sources: [],
  now,
  signals: 0,
  repeats: 0,
  nextIndex: 0,
  late: undefined,
});

/** Folds one event into the state. Total and deterministic; time passes only through `receivedAt`. */
export function evolve(before: RiserState, event: RiserEvent): RiserState {
  const now = Math.max(before.now, event.receivedAt) as Instant;
  switch (event.type) {
    case 'profile-installed':
      return installed({ ...before, now, late: undefined }, event.profile);
    case 'signal-repeated':
      return { ...before, now, late: undefined, repeats: before.repeats + 1 };
    case 'time-reached': {
      const { chapters, picture } = pruned(before, horizonOf(before, now));
      return { ...before, chapters, picture, now, late: undefined };
    }
    case 'link-reported':
      return took(before, event, { now, sources: withSessions(before.sources, event.session, now) });
    case 'command-given':
      return took(before, event, { now, sources: before.sources });
    case 'signal-received':
      return receive(before, event, now);
  }
}

/** A changed profile begins the story anew from what it installs; counts and clocks stay. */
const installed = (state: RiserState, profile: Profile): RiserState => {
  if (JSON.stringify(profile) === JSON.stringify(state.profile)) return state;
  const { sources, signals, repeats, nextIndex } = state;
  return { ...initialRiser(profile, state.now), sources, signals, repeats, nextIndex };
};

const horizonOf = ({ profile }: RiserState, now: Instant): number => now - profile.link.latencySeconds * 1_000;

const withSessions = (
  sources: readonly SourceClock[],
  session: string | undefined,
  at: Instant,
): readonly SourceClock[] => (session === undefined ? sources : sources.map((clock) => newSession(clock, session, at)));

/** Puts a link message or a command at its receipt: the station's clock is the axis that all sources share. */
function took(
  before: RiserState,
  event: Exclude<StoryEvent, { type: 'signal-received' }>,
  { now, sources }: Pick<RiserState, 'now' | 'sources'>,
): RiserState {
  const what = event.type === 'command-given' ? event.command.command : `link ${event.link}`;
  const { receivedAt } = event;
  const entry: Entry = {
    event,
    mark: { order_ms: receivedAt, receivedAt, ref: { id: event.id, what, at: receivedAt } },
    index: before.nextIndex,
    era: 0,
  };
  const { chapters, picture } = pruned(place(before, entry), horizonOf(before, now));
  return { ...before, chapters, picture, sources, now, nextIndex: before.nextIndex + 1, late: undefined };
}

type SignalReceived = Extract<RiserEvent, { type: 'signal-received' }>;

function receive(before: RiserState, event: SignalReceived, now: Instant): RiserState {
  const { profile, sources } = before;
  const { receivedAt, observedAt } = event;
  const ref: EventReference = { id: event.id, what: event.content.name, at: observedAt ?? receivedAt };
  const known = clockOf(sources, event.source) ?? blankClock(event.source);
  const latency_ms = profile.link.latencySeconds * 1_000;
  const timing =
    observedAt === undefined
      ? undefined
      : timeSignal(
          known,
          { delay_ms: receivedAt - observedAt, ref, receivedAt },
          { latency_ms, skew_ms: profile.limits.clockSkewSeconds * 1_000 },
        );
  const heard = timing?.clock ?? known;
  const { sequence } = event;
  const clock = sequence === undefined ? heard : countSequence(heard, sequence, { shownAt: receivedAt, shownBy: ref });
  const order_ms = observedAt === undefined ? receivedAt : observedAt + clock.leastDelay_ms;
  const entry: Entry = { event, mark: { order_ms, receivedAt, ref }, index: before.nextIndex, era: clock.era };
  const story =
    timing?.leastChanged === true
      ? retold(before, [...moved(entriesOf(before), event.source, timing), entry])
      : place(before, entry);
  const { chapters, picture } = pruned(story, now - latency_ms);
  // Member by member: spreading an object costs many times as much, and this is done with every signal.
  return {
    profile,
    chapters,
    picture,
    sources: clock === known ? sources : remembered(sources, clock),
    now,
    signals: before.signals + 1,
    repeats: before.repeats,
    nextIndex: before.nextIndex + 1,
    late:
      timing !== undefined && timing.lateness_ms > latency_ms
        ? { ref, receivedAt, lateness_ms: timing.lateness_ms }
        : undefined,
  };
}

function clockOf(sources: readonly SourceClock[], name: string): SourceClock | undefined {
  for (const clock of sources) if (clock.source === name) return clock;
  return undefined;
}

/** The source heard first is forgotten first. */
function remembered(sources: readonly SourceClock[], clock: SourceClock): readonly SourceClock[] {
  const at = sources.findIndex(({ source }) => source === clock.source);
  if (at >= 0) return sources.length === 1 ? [clock] : sources.with(at, clock);
  return pushed(sources, clock, sourceLimit);
}

/** Shifts the entries of one source and era onto its new least delay; a step back takes the signals that showed it along. */
function moved(entries: readonly Entry[], source: string, { clock, newEra }: Timing): readonly Entry[] {
  const isOwn = ({ event }: Entry): boolean => event.type === 'signal-received' && event.source === source;
  const showed = newEra ? clock.delays_ms.length - 1 : 0;
  const own = showed === 0 ? [] : entries.filter(isOwn).sort((one, other) => one.index - other.index);
  const taken = new Set(own.slice(own.length - showed));
  return entries.map((entry) => {
    const { event, mark, era } = entry;
    if (event.type !== 'signal-received' || event.source !== source || event.observedAt === undefined) return entry;
    if (era !== clock.era && !taken.has(entry)) return entry;
    return { ...entry, era: clock.era, mark: { ...mark, order_ms: event.observedAt + clock.leastDelay_ms } };
  });
}
