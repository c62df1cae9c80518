import type { Instant, JsonObject, Result } from '@tidemark/kernel';
import { canonicalJson, fail, invariant, ok } from '@tidemark/kernel';
import type { ChainedText } from './chain.ts';
import { parseEventId } from './event-id.ts';
import type {
  Append,
  AppendTooLarge,
  EventId,
  ExpectedRevision,
  NewEvent,
  Position,
  RecordedEvent,
  StreamName,
} from './journal.ts';
import { appendAllLimit_appends, appendLimit_bytes, eventOverhead_bytes } from './journal.ts';
import { parseStreamName } from './names.ts';

/** An event as an adapter keeps it: data and metadata as canonical JSON text. */
export interface StoredEvent extends ChainedText {
  readonly position: Position;
  readonly hash: string;
}

/** A new event whose data and metadata are canonical JSON text. */
export interface EncodedEvent {
  readonly id: EventId;
  readonly type: string;
  readonly data: string;
  readonly metadata: string;
  readonly recordedAt: Instant | undefined;
}

/** An append that was checked and put into text; it shares nothing with what the caller may change later. */
export interface EncodedAppend {
  readonly stream: StreamName;
  readonly expected: ExpectedRevision;
  readonly events: readonly EncodedEvent[];
  readonly size_bytes: number;
}

const printable = /^[!-~]{1,100}$/;

/** Checks an append and puts it into text. A malformed one is a bug of the caller; a large one is refused. */
export function encodeAppend(append: Append): Result<EncodedAppend, AppendTooLarge> {
  const { stream, expected } = append;
  invariant(append.events.length > 0, 'an append carries at least one event');
  invariant(parseStreamName(stream).ok, 'an append names a well-formed stream');
  invariant(typeof expected === 'string' || expected >= 0n, 'an expected revision is not negative');
  const events: EncodedEvent[] = [];
  let size_bytes = 0;
  for (const event of append.events) {
    const encoded = encodeEvent(event);
    events.push(encoded);
    size_bytes += eventOverhead_bytes + encoded.type.length + utf8_bytes(encoded.data) + utf8_bytes(encoded.metadata);
    if (size_bytes > appendLimit_bytes)
      return fail({ type: 'append-too-large', stream, limit_bytes: appendLimit_bytes });
  }
  return ok({ stream, expected, events, size_bytes });
}

/** `encodeAppend` for each, in the order given. */
export function encodeAppends(appends: readonly Append[]): readonly Result<EncodedAppend, AppendTooLarge>[] {
  invariant(appends.length <= appendAllLimit_appends, 'appendAll carries at most appendAllLimit_appends appends');
  return appends.map(encodeAppend);
}

/** The event as readers see it. Text that is not JSON, so a store that was tampered with, throws a `SyntaxError`. */
export const decodeStored = (stored: StoredEvent): RecordedEvent => ({
  ...stored,
  data: JSON.parse(stored.data) as JsonObject,
  metadata: JSON.parse(stored.metadata) as JsonObject,
});

function encodeEvent(event: NewEvent): EncodedEvent {
  invariant(parseEventId(event.id).ok, 'an event id is a lower-case UUID');
  invariant(printable.test(event.type), 'an event type is 1 to 100 printable ASCII characters');
  return {
    id: event.id,
    type: event.type,
    data: canonicalJson(event.data),
    metadata: canonicalJson(event.metadata ?? {}),
    recordedAt: event.recordedAt,
  };
}

const utf8_bytes = (text: string): number => Buffer.byteLength(text, 'utf8');
