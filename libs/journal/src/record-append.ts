import type { Instant, Result } from '@tidemark/kernel';
import { fail, invariant, ok } from '@tidemark/kernel';
import type { ChainedText } from './chain.ts';
import { chainHashOfText, genesisHash } from './chain.ts';
import type { Appended, EventId, Position, Revision, StreamName, WrongExpectedRevision } from './journal.ts';
import type { EncodedAppend } from './stored-event.ts';

/** Where a stream ends. */
export interface StreamTail {
  readonly revision: Revision;
  readonly hash: string;
}

/** Where a stream holds an event. */
export interface Place {
  readonly revision: Revision;
  readonly position: Position;
}

/** A store that answers at once, inside a transaction of the adapter. */
export interface EventStore {
  readonly tail: (stream: StreamName) => StreamTail | undefined;
  readonly find: (stream: StreamName, id: EventId) => Place | undefined;
  /** Puts the event at the end of its stream and of the journal; `undefined`, and nothing changes, when the stream holds its id. */
  readonly insert: (event: ChainedText, hash: string) => Position | undefined;
}

/** Records the fresh events of an append at the end of the stream, or refuses it before anything is written. */
export function recordAppend(
  append: EncodedAppend,
  store: EventStore,
  now: Instant,
): Result<Appended, WrongExpectedRevision> {
  const { stream, expected } = append;
  const tail = store.tail(stream);
  if (expected !== 'any' && !isExpected(append, tail, store))
    return fail({ type: 'wrong-expected-revision', stream, expected, actual: tail?.revision ?? 'no-stream' });
  const fresh: boolean[] = [];
  let end = tail;
  let position: Position | undefined;
  for (const { id, type, data, metadata, recordedAt = now } of append.events) {
    const revision = ((end?.revision ?? -1n) + 1n) as Revision;
    const event = { stream, revision, id, type, data, metadata, recordedAt };
    const hash = chainHashOfText(end?.hash ?? genesisHash, event);
    position = store.insert(event, hash);
    fresh.push(position !== undefined);
    if (position !== undefined) end = { revision, hash };
  }
  position ??= store.find(stream, append.events.at(-1)?.id as EventId)?.position;
  invariant(end !== undefined && position !== undefined, 'after an append the stream holds every event given');
  return ok({ revision: end.revision, position, fresh });
}

/**
 * Whether everything the stream holds beyond the revision expected is among the events given, or there is nothing to
 * record.
 */
function isExpected(
  { stream, expected, events }: EncodedAppend,
  tail: StreamTail | undefined,
  store: EventStore,
): boolean {
  if (expected === 'any') return true;
  const held = new Map<EventId, Place>();
  for (const { id } of events) {
    const place = store.find(stream, id);
    if (place !== undefined) held.set(id, place);
  }
  if (events.every(({ id }) => held.has(id))) return true;
  const believed = expected === 'no-stream' ? -1n : expected;
  let ours = 0n;
  for (const { revision } of held.values()) if (revision > believed) ours += 1n;
  return (tail?.revision ?? -1n) - believed === ours;
}
