import type { Instant } from '@tidemark/kernel';
import type { EventReference, RiserEvent } from './event.ts';
import type { Mark, Picture } from './picture.ts';
import type { Profile } from './profile.ts';
import type { SourceClock, Timing } from './source-clock.ts';
import { countSequence, newSession, timeSignal } from './source-clock.ts';
import type { StoryEvent } from './tell.ts';
import { blankPicture, tell } from './tell.ts';

/** One told event and where it stands in the story. */
export interface Entry {
  readonly event: StoryEvent;
  readonly mark: Mark;
  /** Place in the order of receipt; breaks ties. */
  readonly index: number;
  readonly era: number;
  /** The picture before it; kept for the newest entries only, so that a late signal can be put in its place. */
  readonly before: Picture | undefined;
}

/** How late the newest signal was, when it came later than the latency allows. */
export interface Lateness {
  readonly ref: EventReference;
  readonly receivedAt: Instant;
  readonly lateness_ms: number;
  readonly observedAt: Instant;
}

/** The state of one riser: the fold of its events, in the order in which they happened rather than came. */
export interface RiserState {
  readonly profile: Profile;
  /** The story before the first kept entry. */
  readonly base: Picture;
  readonly entries: readonly Entry[];
  /** The story so far. */
  readonly picture: Picture;
  readonly sources: ReadonlyMap<string, SourceClock>;
  /** Station time: the greatest receipt seen. */
  readonly now: Instant;
  readonly signals: number;
  readonly repeats: number;
  readonly nextIndex: number;
  /** Set when the newest event was a signal later than the latency. */
  readonly late: Lateness | undefined;
  readonly timing: { readonly source: string; readonly delay_ms: number; readonly ref: EventReference } | undefined;
}

/** Entries kept while an episode is open; beyond this the oldest half becomes part of the base. */
const entryLimit = 512;
/** Entries that keep the picture before them, for quick placing of a signal that is a little late. */
const pictureDepth = 32;
/** Sources remembered per riser. */
const sourceLimit = 32;

/** A riser that nothing was heard of. */
export const initialRiser = (profile: Profile, now: Instant): RiserState => {
  const blank = blankPicture(profile);
  return {
    profile,
    base: blank,
    entries: [],
    picture: blank,
    sources: new Map(),
    now,
    signals: 0,
    repeats: 0,
    nextIndex: 0,
    late: undefined,
    timing: undefined,
  };
};

/** Folds one event into the state. Total and deterministic; time passes only through `receivedAt`. */
export function evolve(before: RiserState, event: RiserEvent): RiserState {
  const now = Math.max(before.now, event.receivedAt) as Instant;
  const state: RiserState = { ...before, now, late: undefined, timing: undefined };
  switch (event.type) {
    case 'profile-installed':
      return installed(state, event.profile);
    case 'signal-repeated':
      return { ...state, repeats: state.repeats + 1 };
    case 'time-reached':
      return pruned(state);
    case 'link-reported':
      return place(withSessions(state, event.session), event, { order_ms: event.receivedAt, era: 0, retell: false });
    case 'command-given':
      return place(state, event, { order_ms: event.receivedAt, era: 0, retell: false });
    case 'signal-received':
      return receive(state, event);
  }
}

/** A changed profile begins the story anew from what it installs; counts and clocks stay. */
const installed = (state: RiserState, profile: Profile): RiserState => {
  if (JSON.stringify(profile) === JSON.stringify(state.profile)) return state;
  const fresh = initialRiser(profile, state.now);
  return {
    ...fresh,
    sources: state.sources,
    signals: state.signals,
    repeats: state.repeats,
    nextIndex: state.nextIndex,
  };
};

const withSessions = (state: RiserState, session: string | undefined): RiserState => {
  if (session === undefined || state.sources.size === 0) return state;
  const sources = new Map([...state.sources].map(([name, clock]) => [name, newSession(clock, session)]));
  return { ...state, sources };
};

function receive(state: RiserState, event: Extract<RiserEvent, { type: 'signal-received' }>): RiserState {
  const limits = {
    latency_ms: state.profile.link.latencySeconds * 1_000,
    skew_ms: state.profile.limits.clockSkewSeconds * 1_000,
  };
  const ref: EventReference = { id: event.id, what: event.content.name, at: event.observedAt ?? event.receivedAt };
  const known = state.sources.get(event.source);
  const timing =
    event.observedAt === undefined ? undefined : timeSignal(known, event.receivedAt - event.observedAt, limits);
  const heard = timing && { ...timing.clock, lastRef: ref, lastReceivedAt: event.receivedAt };
  const clock = sequenced(heard ?? known, event, ref);
  const sources = clock === undefined ? state.sources : remembered(state.sources, event.source, clock);
  const order_ms =
    event.observedAt === undefined || timing === undefined
      ? event.receivedAt
      : event.observedAt + timing.clock.leastDelay_ms;
  const late: Lateness | undefined =
    timing !== undefined && event.observedAt !== undefined && timing.lateness_ms > limits.latency_ms
      ? { ref, receivedAt: event.receivedAt, lateness_ms: timing.lateness_ms, observedAt: event.observedAt }
      : undefined;
  return place(
    {
      ...state,
      sources,
      signals: state.signals + 1,
      late,
      timing: timing && { source: event.source, delay_ms: timing.delay_ms, ref },
    },
    event,
    { order_ms, era: clock?.era ?? 0, retell: timing?.leastChanged === true, timing },
  );
}

const blankClock: SourceClock = {
  era: 0,
  leastDelay_ms: 0,
  delays_ms: [],
  highest: undefined,
  missing: [],
  session: undefined,
  lastRef: undefined,
  lastReceivedAt: undefined,
};

function sequenced(
  clock: SourceClock | undefined,
  event: Extract<RiserEvent, { type: 'signal-received' }>,
  ref: EventReference,
): SourceClock | undefined {
  if (event.sequence === undefined) return clock;
  return countSequence(clock ?? blankClock, event.sequence, { shownAt: event.receivedAt, shownBy: ref });
}

function remembered(
  sources: ReadonlyMap<string, SourceClock>,
  name: string,
  clock: SourceClock,
): ReadonlyMap<string, SourceClock> {
  const next = new Map(sources);
  if (!next.has(name) && next.size >= sourceLimit) next.delete(next.keys().next().value ?? '');
  return next.set(name, clock);
}

interface Placing {
  readonly order_ms: number;
  readonly era: number;
  /** The least delay of the source changed, so that its entries move on the axis. */
  readonly retell: boolean;
  readonly timing?: Timing | undefined;
}

/** Puts an event where it belongs in the story, and tells anew what stands after it. */
function place(state: RiserState, event: StoryEvent, placing: Placing): RiserState {
  const ref = referenceTo(event);
  const entry: Entry = {
    event,
    mark: { order_ms: placing.order_ms, receivedAt: event.receivedAt, ref },
    index: state.nextIndex,
    era: placing.era,
    before: undefined,
  };
  const counted = { ...state, nextIndex: state.nextIndex + 1 };
  if (placing.retell) return pruned(retold(counted, [...moved(counted, event, placing), entry].sort(inOrder), 0));
  const last = state.entries.at(-1);
  if (last === undefined || inOrder(last, entry) < 0) return pruned(appended(counted, entry));
  const at = state.entries.findIndex((each) => inOrder(each, entry) > 0);
  const displaced = state.entries[at];
  const entries = [...state.entries.slice(0, at), { ...entry, before: displaced?.before }, ...state.entries.slice(at)];
  return pruned(retold(counted, entries, at));
}

function referenceTo(event: StoryEvent): EventReference {
  switch (event.type) {
    case 'signal-received':
      return { id: event.id, what: event.content.name, at: event.observedAt ?? event.receivedAt };
    case 'command-given':
      return { id: event.id, what: event.command.command, at: event.receivedAt };
    case 'link-reported':
      return { id: event.id, what: `link ${event.link}`, at: event.receivedAt };
  }
}

const inOrder = (one: Entry, other: Entry): number =>
  one.mark.order_ms - other.mark.order_ms || sequenceOrder(one, other) || one.index - other.index;

const sequenceOrder = (one: Entry, other: Entry): number => {
  if (one.event.type !== 'signal-received' || other.event.type !== 'signal-received') return 0;
  const [first, second] = [one.event.sequence, other.event.sequence];
  if (first === undefined || second === undefined || one.event.source !== other.event.source) return 0;
  return first < second ? -1 : first > second ? 1 : 0;
};

/** Shifts the entries of one source and era onto its new least delay; a step back takes the signals that showed it along. */
function moved(state: RiserState, event: StoryEvent, placing: Placing): readonly Entry[] {
  if (event.type !== 'signal-received') return state.entries;
  const { source } = event;
  const least_ms = state.sources.get(source)?.leastDelay_ms ?? 0;
  const backwards = placing.timing?.newEra === true ? placing.timing.clock.delays_ms.length - 1 : 0;
  const own = state.entries.filter(({ event: each }) => each.type === 'signal-received' && each.source === source);
  const taken = new Set(backwards === 0 ? [] : own.toSorted((one, other) => one.index - other.index).slice(-backwards));
  return state.entries.map((entry) => {
    if (entry.event.type !== 'signal-received' || entry.event.source !== source || entry.event.observedAt === undefined)
      return entry;
    if (entry.era !== placing.era && !taken.has(entry)) return entry;
    return { ...entry, era: placing.era, mark: { ...entry.mark, order_ms: entry.event.observedAt + least_ms } };
  });
}

const appended = (state: RiserState, entry: Entry): RiserState => ({
  ...state,
  entries: [...state.entries, { ...entry, before: state.picture }],
  picture: tell(state.picture, entry.event, entry.mark),
});

/** Tells the story anew from the entry at `from` on, starting at the nearest entry that keeps the picture before it. */
function retold(state: RiserState, entries: readonly Entry[], from: number): RiserState {
  let start = from;
  while (start > 0 && entries[start]?.before === undefined) start -= 1;
  let picture = (start === 0 ? undefined : entries[start]?.before) ?? state.base;
  const told = entries.map((entry, index) => {
    if (index < start) return entry;
    const before = picture;
    picture = tell(picture, entry.event, entry.mark);
    return { ...entry, before };
  });
  return { ...state, entries: told, picture };
}

/**
 * Forgets what can no longer be put in another order: at rest everything older than the latency, in an episode
 * only what exceeds the limit. Pictures stay with the newest entries only.
 */
function pruned(state: RiserState): RiserState {
  const { entries } = state;
  if (entries.length === 0) return state;
  const { episode } = state.picture;
  const open = episode !== undefined && episode.end === undefined;
  const horizon = state.now - state.profile.link.latencySeconds * 1_000;
  let drop = 0;
  if (!open) while (drop < entries.length && (entries[drop]?.mark.receivedAt ?? 0) < horizon) drop += 1;
  else if (entries.length > entryLimit) drop = entryLimit / 2;
  const thin = entries.length - pictureDepth;
  if (drop === 0 && (thin <= 0 || entries[thin - 1]?.before === undefined)) return state;
  const base = drop === 0 ? state.base : baseAfter(state, drop);
  const kept = entries
    .slice(drop)
    .map((entry, index) =>
      index + drop < thin && entry.before !== undefined ? { ...entry, before: undefined } : entry,
    );
  return { ...state, base, entries: kept };
}

function baseAfter(state: RiserState, drop: number): Picture {
  const next = state.entries[drop];
  if (next === undefined) return state.picture;
  if (next.before !== undefined) return next.before;
  return state.entries.slice(0, drop).reduce((picture, entry) => tell(picture, entry.event, entry.mark), state.base);
}
