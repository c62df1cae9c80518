import type { Brand, Instant, JsonObject, Result } from '@tidemark/kernel';

/** Names one stream: segments of lower-case letters, digits, `-` and `.`, parted by `/`, e.g. `riser/quayside-cold-store/deluge-1`. */
export type StreamName = Brand<string, 'StreamName'>;

/** The beginning of stream names, at a `/`: `riser/` or `riser/quayside-cold-store/`. */
export type StreamPrefix = Brand<string, 'StreamPrefix'>;

/** Identifies an event for ever: a UUID, derived from what it records, so that recording it again changes nothing. */
export type EventId = Brand<string, 'EventId'>;

/** Zero-based place of an event in its stream. */
export type Revision = Brand<bigint, 'Revision'>;

/** Place of an event in the whole journal: opaque and ordered, with gaps. */
export type Position = Brand<bigint, 'Position'>;

/**
 * What the writer believes about the stream: that it ends at this revision, or has no event yet.
 *
 * The belief holds when everything the stream holds beyond it is among the events of this very append; so a retry
 * succeeds though an earlier try, or a batch cut differently, recorded part of it, and fails as soon as anyone else's
 * event stands there. When the stream holds every event given, there is nothing to record and the belief is not asked.
 * `any` is only for streams that nobody retries with other events.
 */
export type ExpectedRevision = 'any' | 'no-stream' | Revision;

/**
 * How far back every adapter recognises an id: within this many last events of the stream. The memory and the SQLite
 * adapter recognise it for ever; a store without an index of ids reads the end of the stream before it appends.
 */
export const recognised_events = 4_096;

/**
 * The largest append, counted as `eventOverhead_bytes` an event plus the UTF-8 bytes of its type and of its data and
 * metadata as canonical JSON. A choice of this project, below what the stores we know take by default.
 */
export const appendLimit_bytes = 1_000_000;

/** What an event costs beside its content: id, hash, revision, time. Bounds the number of events in an append, too. */
export const eventOverhead_bytes = 200;

/** The most appends one `appendAll` takes. A choice of this project. */
export const appendAllLimit_appends = 1_000;

/** An event to record. The first event of an id stays: what comes later under the same id is not compared with it. */
export interface NewEvent {
  readonly id: EventId;
  /** 1 to 100 printable ASCII characters, no space. */
  readonly type: string;
  readonly data: JsonObject;
  /** Correlation, causation and the schema's version; never part of what the event says. */
  readonly metadata?: JsonObject;
  /** Only import gives it: when another journal recorded the event. Absent: this journal's clock. */
  readonly recordedAt?: Instant;
}

/** An event as the journal holds it. */
export interface RecordedEvent {
  readonly id: EventId;
  readonly stream: StreamName;
  readonly revision: Revision;
  readonly position: Position;
  readonly type: string;
  readonly data: JsonObject;
  readonly metadata: JsonObject;
  /** The journal's clock when it was recorded. For people; no rule reads it. */
  readonly recordedAt: Instant;
  /** `chainHash` of the previous event of the stream and this one: SHA-256 as lower-case hex. */
  readonly hash: string;
}

/** One append: all of its fresh events or none. It carries at least one event. */
export interface Append {
  readonly stream: StreamName;
  readonly events: readonly NewEvent[];
  readonly expected: ExpectedRevision;
}

/** What an append did. */
export interface Appended {
  /** The stream's last revision afterwards. */
  readonly revision: Revision;
  /** The position of the last of the given events, whether recorded now or before. */
  readonly position: Position;
  /** For each given event, whether it was recorded now (`true`) or the stream, or this append before it, held its id. */
  readonly fresh: readonly boolean[];
}

/** The stream is not where the writer believed. Nothing was recorded. */
export interface WrongExpectedRevision {
  readonly type: 'wrong-expected-revision';
  readonly stream: StreamName;
  readonly expected: ExpectedRevision;
  readonly actual: Revision | 'no-stream';
}

/** The append is larger than the journal takes. Nothing was recorded. */
export interface AppendTooLarge {
  readonly type: 'append-too-large';
  readonly stream: StreamName;
  readonly limit_bytes: number;
}

/** Why an append was refused. */
export type AppendRejection = WrongExpectedRevision | AppendTooLarge;

/** Which part of a stream to read. */
export interface ReadStream {
  readonly direction?: 'forward' | 'backward';
  /** The first revision read, itself included; absent: from the start, or backward from the end. */
  readonly from?: Revision;
  /** The most events read; absent: no limit. */
  readonly limit?: number;
}

/** Which part of the whole journal to read. */
export interface ReadAll {
  readonly direction?: 'forward' | 'backward';
  /** Read what lies strictly after (backward: strictly before) this position; absent: from the start or the end. */
  readonly after?: Position;
  /** The most events read; absent: no limit. */
  readonly limit?: number;
  /** Only streams that begin with one of these; absent: all. */
  readonly prefixes?: readonly StreamPrefix[];
}

/** Where a subscription begins and what it carries. */
export interface Subscribe {
  /**
   * Deliver what lies strictly after this position; absent: from the beginning. A position that the journal has not
   * reached is an invariant violation: its reader has seen what this journal does not hold (a backup was restored).
   */
  readonly after?: Position;
  readonly prefixes?: readonly StreamPrefix[];
  /** Ends the subscription; the iteration then finishes without an error. */
  readonly signal?: AbortSignal;
}

/** What a subscription delivers, in journal order, without a gap or a repeat. */
export type SubscriptionMessage =
  | { readonly type: 'event'; readonly event: RecordedEvent }
  /**
   * Everything recorded up to `position` was delivered or filtered out; what follows is live. Comes once, and again
   * after falling behind by more events than the adapter reads at a time.
   */
  | { readonly type: 'caught-up'; readonly position: Position | undefined };

/**
 * The first event, by position, where the record is not what it was.
 *
 * `changed`: the event does not give the hash it carries, or not the one noted for the stream's end. `misplaced`: it
 * does not follow the event before it, since one was removed or the order was changed. `cut-off`: the events after it
 * are missing, as far as the store notes the stream's end beside the events; with no event left it names revision and
 * position 0 and the nil UUID.
 *
 * Only the events of one stream are chained. Whoever can write the store can rewrite a whole chain: against that only
 * a hash kept elsewhere proves anything. The order between streams is not covered.
 */
export interface BrokenChain {
  readonly type: 'broken-chain';
  readonly reason: 'changed' | 'misplaced' | 'cut-off';
  readonly stream: StreamName;
  readonly revision: Revision;
  readonly position: Position;
  readonly id: EventId;
  readonly expected: string;
  readonly found: string;
}

/** How much was found unbroken. */
export interface Verified {
  readonly events: number;
  readonly streams: number;
}

/** What a look at the record needs, also from a second process. */
export interface JournalReader {
  /** The events of a stream; none when the stream does not exist. */
  readStream(stream: StreamName, options?: ReadStream): AsyncIterable<RecordedEvent>;
  /** The events of the whole journal in its order: at least all that were recorded when the reading began. */
  readAll(options?: ReadAll): AsyncIterable<RecordedEvent>;
  /** History first, then what is recorded from now on. Backpressure is the iteration's. */
  subscribe(options?: Subscribe): AsyncIterable<SubscriptionMessage>;
  /** The position of the last event, or none while the journal is empty. */
  head(): Promise<Position | undefined>;
  /** The position up to which the named reader is done. */
  readCheckpoint(name: string): Promise<Position | undefined>;
  /** Recomputes the hash chain of one stream, or of all, and names the first broken event by position. */
  verify(stream?: StreamName): Promise<Result<Verified, BrokenChain>>;
  /** Ends subscriptions and releases the resource; what was asked before is still done. Closing again changes nothing. */
  close(): Promise<void>;
}

/** The one record of truth. Every adapter runs through the same contract suite (`@tidemark/journal/contract`). */
export interface Journal extends JournalReader {
  /** Records the events whose ids the stream does not hold yet. Durable once it resolves; the same events again change nothing and succeed. */
  append(append: Append): Promise<Result<Appended, AppendRejection>>;
  /** Many appends in one commit: each is all or none by itself, and all are durable when it resolves. Results stand in the order given. */
  appendAll(appends: readonly Append[]): Promise<readonly Result<Appended, AppendRejection>[]>;
  /** Stores a checkpoint; it never moves back. */
  writeCheckpoint(name: string, position: Position): Promise<void>;
}

/** The store cannot be reached or cannot make data durable. Nothing was recorded for certain; the caller may retry with the same ids. */
export class JournalUnavailable extends Error {
  override readonly name = 'JournalUnavailable';
  readonly code = 'journal-unavailable';

  constructor(operation: 'append' | 'read' | 'checkpoint' | 'open', cause: unknown) {
    super(`journal unavailable during ${operation}`, { cause });
  }
}

/** The journal was closed; the cause of the `JournalUnavailable` that any later use gets. */
export class JournalClosed extends Error {
  override readonly name = 'JournalClosed';
  readonly code = 'journal-closed';

  constructor() {
    super('the journal is closed');
  }
}
