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

/** What the writer believes about the stream. `any` is only for streams that nobody retries with other events. */
export type ExpectedRevision = 'any' | 'no-stream' | Revision;

/** An event to record. */
export interface NewEvent {
  readonly id: EventId;
  readonly type: string;
  readonly data: JsonObject;
  /** Correlation, causation and the schema's version; never part of what the event says. */
  readonly metadata?: JsonObject;
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
  /** SHA-256 over the previous event's hash and this event, as lower-case hex. */
  readonly hash: string;
}

/** One append: all of its fresh events or none. */
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
  /** For each given event, whether it was recorded now (`true`) or the stream already held its id. */
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
  readonly limit?: number;
}

/** Which part of the whole journal to read. */
export interface ReadAll {
  readonly direction?: 'forward' | 'backward';
  /** Read what lies strictly after (backward: strictly before) this position; absent: from the start or the end. */
  readonly after?: Position;
  readonly limit?: number;
  /** Only streams that begin with one of these; absent: all. */
  readonly prefixes?: readonly StreamPrefix[];
}

/** Where a subscription begins and what it carries. */
export interface Subscribe {
  /** Deliver what lies strictly after this position; absent: from the beginning. */
  readonly after?: Position;
  readonly prefixes?: readonly StreamPrefix[];
  /** Ends the subscription; the iteration then finishes without an error. */
  readonly signal?: AbortSignal;
}

/** What a subscription delivers, in journal order, without a gap or a repeat. */
export type SubscriptionMessage =
  | { readonly type: 'event'; readonly event: RecordedEvent }
  /** Everything recorded up to `position` was delivered or filtered out; what follows is live. Comes once, and again after falling behind. */
  | { readonly type: 'caught-up'; readonly position: Position | undefined };

/** The first event whose hash does not follow from what stands before it. */
export interface BrokenChain {
  readonly type: 'broken-chain';
  readonly stream: StreamName;
  readonly revision: Revision;
  readonly position: Position;
  readonly id: EventId;
  readonly expected: string;
  readonly found: string;
}

/** The one record of truth. Every adapter runs through the same contract suite (`@tidemark/journal/contract`). */
export interface Journal {
  /** Records the events whose ids the stream does not hold yet. Durable once it resolves; the same events again change nothing and succeed. */
  append(append: Append): Promise<Result<Appended, AppendRejection>>;
  /** Many appends in one commit: each is all or none by itself, and all are durable when it resolves. Results stand in the order given. */
  appendAll(appends: readonly Append[]): Promise<readonly Result<Appended, AppendRejection>[]>;
  /** The events of a stream; none when the stream does not exist. */
  readStream(stream: StreamName, options?: ReadStream): AsyncIterable<RecordedEvent>;
  /** The events of the whole journal in its order. */
  readAll(options?: ReadAll): AsyncIterable<RecordedEvent>;
  /** History first, then what is recorded from now on. Backpressure is the iteration's. */
  subscribe(options?: Subscribe): AsyncIterable<SubscriptionMessage>;
  /** The position of the last event, or none while the journal is empty. */
  head(): Promise<Position | undefined>;
  /** The position up to which the named reader is done. */
  readCheckpoint(name: string): Promise<Position | undefined>;
  /** Stores a checkpoint; it never moves back. */
  writeCheckpoint(name: string, position: Position): Promise<void>;
  /** Recomputes the hash chain of one stream, or of all, and names the first broken event by position. */
  verify(stream?: StreamName): Promise<Result<{ readonly events: number; readonly streams: number }, BrokenChain>>;
  /** Ends subscriptions and releases the resource. */
  close(): Promise<void>;
}

/** The store cannot be reached or cannot make data durable. Nothing was recorded for certain; the caller may retry with the same ids. */
export class JournalUnavailable extends Error {
  override readonly name = 'JournalUnavailable';
  readonly code = 'journal-unavailable';

  constructor(operation: 'append' | 'read' | 'checkpoint' | 'open', cause: unknown) {
    super(`journal unavailable during ${operation}`, { cause });
  }
}

