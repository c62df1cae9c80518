import type { Instant } from '@tidemark/kernel';
import { instant } from '@tidemark/kernel';
import type { Profile } from '@tidemark/riser';
import type { CommandData, ReplayEntry, SignalName } from '@tidemark/signals';
import { classOf, defaultPrefix, readReplayLine } from '@tidemark/signals';

/** A signal as it was said and as it was heard. */
export interface HeardSignal {
  readonly id: string;
  /** Where it stands among the others: when it was said, on the station's clock, as if it had come at once. */
  readonly at: Instant;
  readonly received: Instant;
  /** The panel's clock, where it has one. */
  readonly observed: Instant | undefined;
  readonly source: string;
  readonly sequence: number | undefined;
  readonly name: SignalName;
  readonly state: 'active' | 'restored' | 'performed' | 'reading';
  readonly point: number | undefined;
  /** What a reading says, Pa or m³/s. */
  readonly si: number | undefined;
  /** Whether the profile has this point as this signal; always so for classes that need no point (CONTRACT 2). */
  readonly known: boolean;
}

/** A command to the station. */
export interface HeardCommand {
  readonly received: Instant;
  readonly command: CommandData;
}

/** What the station was told of the link. */
export interface HeardLink {
  readonly received: Instant;
  readonly link: 'up' | 'down';
  readonly session: string | undefined;
}

/** A whole log, read with hindsight. */
export interface HeardStory {
  readonly profile: Profile;
  /** Each once, where it was said; what was said at once in the order of its numbers. */
  readonly signals: readonly HeardSignal[];
  /** When signals came, repeats of them included. */
  readonly receipts: readonly Instant[];
  readonly repeats: readonly Instant[];
  readonly commands: readonly HeardCommand[];
  readonly links: readonly HeardLink[];
  readonly until: Instant;
}

/** A log, its profile, and when it ends. */
export interface Log {
  readonly profile: Profile;
  readonly lines: readonly string[];
  readonly until: Instant;
  /** When each signal truly was said, by its id, where that is known; the panel's clock stands for it otherwise. */
  readonly saidAt?: ReadonlyMap<string, Instant>;
}

/** Reads a log. Lines that are no valid message tell nothing. */
export function heardStory({ lines, profile, saidAt, until }: Log): HeardStory {
  const entries = lines.flatMap((line) => {
    const entry = readReplayLine(line, readingOf(profile));
    return entry.ok ? [entry.value] : [];
  });
  const told = entries.filter((entry) => entry.type === 'signal');
  const first = new Map(told.toReversed().map((entry) => [`${entry.signal.source} ${entry.signal.id}`, entry]));
  const unique = told.filter((entry) => first.get(`${entry.signal.source} ${entry.signal.id}`) === entry);
  const said = (entry: SignalEntry): Instant =>
    saidAt?.get(entry.signal.id) ?? entry.signal.observedAt ?? entry.receivedAt;
  const least = leastDelays(unique, said);
  return {
    profile,
    signals: unique
      .map((entry) => signalOf(entry, instant(said(entry) + (least.get(entry.signal.source) ?? 0)), profile))
      .toSorted((one, other) => one.at - other.at || (one.sequence ?? 0) - (other.sequence ?? 0)),
    receipts: told.map(({ receivedAt }) => receivedAt),
    repeats: told.filter((entry) => !unique.includes(entry)).map(({ receivedAt }) => receivedAt),
    commands: entries.flatMap((entry) =>
      entry.type === 'command' ? [{ received: entry.receivedAt, command: entry.command }] : [],
    ),
    links: entries.flatMap((entry) =>
      entry.type === 'link' ? [{ received: entry.receivedAt, link: entry.link, session: entry.session }] : [],
    ),
    until,
  };
}

type SignalEntry = Extract<ReplayEntry, { readonly type: 'signal' }>;

/** The least delay of each source: what a signal later than that is late by (CONTRACT 5.1, `out-of-order`). */
function leastDelays(
  entries: readonly SignalEntry[],
  said: (entry: SignalEntry) => Instant,
): ReadonlyMap<string, number> {
  const least = new Map<string, number>();
  for (const entry of entries) {
    const { source } = entry.signal;
    least.set(source, Math.min(least.get(source) ?? Infinity, entry.receivedAt - said(entry)));
  }
  return least;
}

function signalOf({ receivedAt, signal }: SignalEntry, at: Instant, { points }: Profile): HeardSignal {
  const { content, id, observedAt, sequence, source } = signal;
  const { name } = content;
  const own = points.filter((each) => each.signal === name);
  const point = signal.point ?? (own.length === 1 ? own[0]?.point : undefined);
  const needsNone = classOf(name) === 'panel' || classOf(name) === 'trouble';
  return {
    id,
    at,
    received: receivedAt,
    observed: observedAt,
    source,
    sequence: sequence === undefined ? undefined : Number(sequence),
    name,
    state: stateOf(content),
    point,
    si: content.kind === 'reading' ? content.si : undefined,
    known: needsNone || own.some((each) => each.point === point),
  };
}

function stateOf(content: SignalEntry['signal']['content']): HeardSignal['state'] {
  if (content.kind === 'contact') return content.state;
  if (content.kind === 'act') return 'performed';
  return content.kind === 'reading' ? 'reading' : 'active';
}

function readingOf({ account, contactId, points, riser }: Profile): Parameters<typeof readReplayLine>[1] {
  const installed = { points, ...(contactId === undefined ? {} : { contactIdAccount: contactId.account }) };
  return { key: { account, riser }, prefix: defaultPrefix, installed: () => installed };
}
