import type { Instant, Result } from '@tidemark/kernel';
import { fail, invariant, ok } from '@tidemark/kernel';
import type { ChainedText } from './chain.ts';
import { chainHashOfText, genesisHash } from './chain.ts';
import type {
  Appended,
  EventId,
  ExpectedRevision,
  Position,
  Revision,
  StreamName,
  WrongExpectedRevision,
} from './journal.ts';
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
  /** Puts the event at the end of its stream and of the journal. */
  readonly insert: (event: ChainedText, hash: string) => Position;
}

/** Records the fresh events of an append at the end of the stream, or refuses it before anything is written. */
export function recordAppend(
  append: EncodedAppend,
  store: EventStore,
  now: Instant,
): Result<Appended, WrongExpectedRevision> {
  const { stream, expected } = append;
  const tail = store.tail(stream);
  const places = placesHeld(append, store);
  const anyFresh = append.events.some(({ id }) => !places.has(id));
  if (anyFresh && !isExpected(expected, tail, places))
    return fail({ type: 'wrong-expected-revision', stream, expected, actual: tail?.revision ?? 'no-stream' });
  const fresh: boolean[] = [];
  let end = tail;
  for (const { id, type, data, metadata, recordedAt = now } of append.events) {
    fresh.push(!places.has(id));
    if (places.has(id)) continue;
    const revision = ((end?.revision ?? -1n) + 1n) as Revision;
    const event = { stream, revision, id, type, data, metadata, recordedAt };
    end = { revision, hash: chainHashOfText(end?.hash ?? genesisHash, event) };
    places.set(id, { revision, position: store.insert(event, end.hash) });
  }
  const last = places.get(append.events.at(-1)?.id as EventId);
  invariant(end !== undefined && last !== undefined, 'after an append the stream holds every event given');
  return ok({ revision: end.revision, position: last.position, fresh });
}

function placesHeld(append: EncodedAppend, store: EventStore): Map<EventId, Place> {
  const places = new Map<EventId, Place>();
  for (const { id } of append.events) {
    const place = store.find(append.stream, id);
    if (place !== undefined) places.set(id, place);
  }
  return places;
}

/** Whether everything the stream holds beyond the revision expected is among the events given. */
function isExpected(
  expected: ExpectedRevision,
  tail: StreamTail | undefined,
  held: ReadonlyMap<EventId, Place>,
): boolean {
  if (expected === 'any') return true;
  const believed = expected === 'no-stream' ? -1n : expected;
  let ours = 0n;
  for (const { revision } of held.values()) if (revision > believed) ours += 1n;
  return (tail?.revision ?? -1n) - believed === ours;
}
