import type { Instant, Result } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
import type {
  Appended,
  ChainedText,
  EncodedAppend,
  EventId,
  EventStore,
  Place,
  Position,
  Revision,
  StreamTail,
  WrongExpectedRevision,
} from '@tidemark/journal';
import { recordAppend } from '@tidemark/journal';
import type { KnownStream } from './known-streams.ts';
import { unread } from './known-streams.ts';

/** What becomes of one append, once the plan is recorded. */
export interface Planned {
  readonly result: Result<Appended, WrongExpectedRevision>;
  /** The last of its events, whose position is to be given. */
  readonly last: { readonly id: EventId; readonly revision: Revision };
}

/** An event at its place in the chain. */
export interface Chained {
  readonly event: ChainedText;
  readonly hash: string;
}

/** What appends to one stream come to at its end as it is known. */
export interface Plan {
  readonly expected: Revision | 'no-stream';
  readonly planned: readonly Planned[];
  /** The fresh events of all appends, in order. */
  readonly events: readonly Chained[];
}

/** Decides on each append after the one before it. */
export function planOf(appends: readonly EncodedAppend[], known: KnownStream, now: Instant): Plan {
  const end = new PlannedEnd(known);
  const planned = appends.map((append) => {
    const result = recordAppend(append, end, now);
    const id = append.events.at(-1)?.id;
    invariant(id !== undefined, 'an append carries at least one event');
    return { result, last: { id, revision: end.find(append.stream, id)?.revision ?? nowhere } };
  });
  return { expected: known.tail?.revision ?? 'no-stream', planned, events: end.events };
}

/** The end of the stream as it will stand. */
class PlannedEnd implements EventStore {
  readonly events: Chained[] = [];
  readonly #known: KnownStream;
  readonly #added = new Map<EventId, Place>();
  #tail: StreamTail | undefined;

  constructor(known: KnownStream) {
    this.#known = known;
    this.#tail = known.tail;
  }

  tail(): StreamTail | undefined {
    return this.#tail;
  }

  find(_stream: unknown, id: EventId): Place | undefined {
    return this.#added.get(id) ?? this.#known.places.get(id);
  }

  insert(event: ChainedText, hash: string): Position | undefined {
    if (this.find(event.stream, event.id) !== undefined) return undefined;
    this.#tail = { revision: event.revision, hash };
    this.#added.set(event.id, { revision: event.revision, position: unread });
    this.events.push({ event, hash });
    return unread;
  }
}

/** Where the last event of a refused append stands. */
const nowhere = -1n as Revision;
