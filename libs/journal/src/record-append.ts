import type { Instant, Result } from '@tidemark/kernel';
import { fail, invariant, ok } from '@tidemark/kernel';
import { chainHashOfText, genesisHash } from './chain.ts';
import type { Appended, EventId, ExpectedRevision, Position, Revision, WrongExpectedRevision } from './journal.ts';
import type { EncodedAppend, StoredEvent } from './stored-event.ts';

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

/** One stream of a store that answers at once, inside a transaction of the adapter. */
export interface StreamStore {
  readonly tail: () => StreamTail | undefined;
  readonly find: (id: EventId) => Place | undefined;
  /** Puts the event at the end of the stream and of the journal. */
  readonly insert: (event: Omit<StoredEvent, 'position'>) => Position;
}

/** Records the fresh events of an append at the end of the stream, or refuses it before anything is written. */
export function recordAppend(
  append: EncodedAppend,
  store: StreamStore,
  now: Instant,
): Result<Appended, WrongExpectedRevision> {
  const tail = store.tail();
  const held = placesHeld(append, store);
  const anyFresh = append.events.some(({ id }) => !held.has(id));
  if (anyFresh && !holds(append.expected, tail, held)) {
    const { stream, expected } = append;
    return fail({ type: 'wrong-expected-revision', stream, expected, actual: tail?.revision ?? 'no-stream' });
  }
  const places = new Map(held);
  const fresh: boolean[] = [];
  let end = tail;
  for (const { recordedAt = now, ...event } of append.events) {
    fresh.push(!places.has(event.id));
    if (places.has(event.id)) continue;
    const revision = ((end?.revision ?? -1n) + 1n) as Revision;
    const unchained = { ...event, stream: append.stream, revision, recordedAt };
    end = { revision, hash: chainHashOfText(end?.hash ?? genesisHash, unchained) };
    places.set(event.id, { revision, position: store.insert({ ...unchained, hash: end.hash }) });
  }
  return ok({ ...endOf(append, places, end), fresh });
}

function placesHeld(append: EncodedAppend, store: StreamStore): ReadonlyMap<EventId, Place> {
  const held = new Map<EventId, Place>();
  for (const { id } of append.events) {
    const place = held.get(id) ?? store.find(id);
    if (place !== undefined) held.set(id, place);
  }
  return held;
}

/** Whether everything the stream holds beyond the revision expected is among the events given. */
function holds(expected: ExpectedRevision, tail: StreamTail | undefined, held: ReadonlyMap<EventId, Place>): boolean {
  if (expected === 'any') return true;
  const believed = expected === 'no-stream' ? -1n : expected;
  const ours = [...held.values()].filter(({ revision }) => revision > believed).length;
  return (tail?.revision ?? -1n) - believed === BigInt(ours);
}

function endOf(
  append: EncodedAppend,
  places: ReadonlyMap<EventId, Place>,
  tail: StreamTail | undefined,
): Pick<Appended, 'revision' | 'position'> {
  const last = places.get(append.events.at(-1)?.id as EventId);
  invariant(tail !== undefined && last !== undefined, 'after an append the stream holds every event given');
  return { revision: tail.revision, position: last.position };
}
