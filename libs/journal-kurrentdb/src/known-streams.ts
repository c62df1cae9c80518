import type { EventId, Place, Position, Revision, StoredEvent, StreamName, StreamTail } from '@tidemark/journal';
import { recognised_events } from '@tidemark/journal';
import type { Reads } from './reads.ts';
import { assertOurs } from './record.ts';

/** How many ids of all streams together are kept at hand: some 80 MB. */
const knownLimit_events = 400_000;

/** Stands for the position of an event that was recorded in one append with others: the server tells only the last one's. */
export const unread = -1n as Position;

/** The end of a stream, as this writer last saw or made it, and the ids of its last events. */
export interface KnownStream {
  readonly tail: StreamTail | undefined;
  readonly places: Map<EventId, Place>;
}

/**
 * What the writer knows of the streams it writes to. It may be behind when someone else writes too: then the server
 * refuses the revision, and the rest is read. It is never wrong, since the server takes an append only in the place
 * and after the history that the append was made for.
 */
export class KnownStreams {
  readonly #reads: Reads;
  /** In the order of their last use. */
  readonly #streams = new Map<StreamName, KnownStream>();
  #events = 0;

  constructor(reads: Reads) {
    this.#reads = reads;
  }

  /** What is known of the stream, read from the server when nothing is. */
  async get(stream: StreamName): Promise<KnownStream> {
    const known = this.#streams.get(stream);
    return known === undefined ? await this.#load(stream) : this.#keep(stream, known);
  }

  /** Reads what others have added. */
  async refresh(stream: StreamName): Promise<void> {
    const known = this.#streams.get(stream);
    if (known?.tail === undefined) {
      this.forget(stream);
      await this.#load(stream);
      return;
    }
    const from = (known.tail.revision + 1n) as Revision;
    const added: StoredEvent[] = [];
    for await (const event of this.#reads.stream({ stream, direction: 'forward', from, limit: Infinity }))
      added.push(event);
    this.add(stream, added);
  }

  /** Notes events at the end of the stream. */
  add(stream: StreamName, events: readonly (Omit<StoredEvent, 'position'> & { readonly position: Position })[]): void {
    const known = this.#streams.get(stream);
    const places = known?.places ?? new Map<EventId, Place>();
    let tail = known?.tail;
    for (const event of events) {
      assertOurs(event);
      tail = { revision: event.revision, hash: event.hash };
      places.set(event.id, { revision: event.revision, position: event.position });
    }
    for (const id of places.keys()) {
      if (places.size <= recognised_events) break;
      places.delete(id);
    }
    this.forget(stream);
    this.#keep(stream, { tail, places });
  }

  /** Nothing is known for certain any more. */
  forget(stream: StreamName): void {
    this.#events -= this.#streams.get(stream)?.places.size ?? 0;
    this.#streams.delete(stream);
  }

  async #load(stream: StreamName): Promise<KnownStream> {
    const events: StoredEvent[] = [];
    const part = { stream, direction: 'backward', from: undefined, limit: recognised_events } as const;
    for await (const event of this.#reads.stream(part)) events.push(event);
    this.add(stream, events.reverse());
    return this.#streams.get(stream) ?? { tail: undefined, places: new Map() };
  }

  #keep(stream: StreamName, known: KnownStream): KnownStream {
    this.forget(stream);
    this.#streams.set(stream, known);
    this.#events += known.places.size;
    for (const oldest of this.#streams.keys()) {
      if (this.#events <= knownLimit_events) break;
      if (oldest !== stream) this.forget(oldest);
    }
    return known;
  }
}
