import type { ChainedText } from './chain.ts';
import type { EventId, Position, StreamName } from './journal.ts';
import { isWanted } from './names.ts';
import type { AllPage, AllPageRequest, PagedStore, StreamPageRequest } from './paged-reader.ts';
import type { EventStore, Place, StreamTail } from './record-append.ts';
import type { StoredEvent } from './stored-event.ts';

/** Positions are this far apart, so that nobody takes one for a count or adds 1 to it. */
const gap = 8;

interface StreamRecords {
  /** Indexes into `events`, by revision. */
  readonly indexes: number[];
  readonly places: Map<EventId, Place>;
}

/** What memory journals keep. Open to tests that restart a journal or tamper with its record. */
export class MemoryRecords implements EventStore, PagedStore {
  readonly events: StoredEvent[] = [];
  readonly checkpoints = new Map<string, Position>();
  readonly #streams = new Map<StreamName, StreamRecords>();

  tail(stream: StreamName): StreamTail | undefined {
    const last = this.events[this.#streams.get(stream)?.indexes.at(-1) ?? -1];
    return last === undefined ? undefined : { revision: last.revision, hash: last.hash };
  }

  find(stream: StreamName, id: EventId): Place | undefined {
    return this.#streams.get(stream)?.places.get(id);
  }

  insert(event: ChainedText, hash: string): Position | undefined {
    const position = positionOf(this.events.length);
    const records: StreamRecords = this.#streams.get(event.stream) ?? { indexes: [], places: new Map() };
    if (records.places.has(event.id)) return undefined;
    this.#streams.set(event.stream, records);
    records.indexes.push(this.events.length);
    records.places.set(event.id, { revision: event.revision, position });
    this.events.push({ ...event, position, hash });
    return position;
  }

  head(): Position | undefined {
    return this.events.length === 0 ? undefined : positionOf(this.events.length - 1);
  }

  tails(stream: StreamName | undefined): ReadonlyMap<StreamName, StreamTail> {
    const tails = new Map<StreamName, StreamTail>();
    for (const name of stream === undefined ? this.#streams.keys() : [stream]) {
      const tail = this.tail(name);
      if (tail !== undefined) tails.set(name, tail);
    }
    return tails;
  }

  streamPage({ stream, direction, from, limit }: StreamPageRequest): readonly StoredEvent[] {
    const indexes = this.#streams.get(stream)?.indexes ?? [];
    const last = indexes.length - 1;
    const start = Number(from ?? (direction === 'forward' ? 0 : last));
    const wanted =
      direction === 'forward'
        ? indexes.slice(start, start + limit)
        : indexes.slice(Math.max(0, Math.min(start, last) + 1 - limit), start + 1).reverse();
    return wanted.flatMap((index) => this.events[index] ?? []);
  }

  allPage({ direction, after, prefixes, limit }: AllPageRequest): AllPage {
    const step = direction === 'forward' ? 1 : -1;
    const found: StoredEvent[] = [];
    let index = this.#startOf(direction, after);
    for (; found.length < limit; index += step) {
      const event = this.events[index];
      if (event === undefined) break;
      if (isWanted(event.stream, prefixes)) found.push(event);
    }
    const looked = this.events[index - step];
    return { events: found, lookedTo: looked?.position ?? after, atEnd: index < 0 || index >= this.events.length };
  }

  #startOf(direction: AllPageRequest['direction'], after: Position | undefined): number {
    if (after === undefined) return direction === 'forward' ? 0 : this.events.length - 1;
    const place = Number(after) / gap;
    return direction === 'forward' ? Math.floor(place) : Math.min(Math.ceil(place) - 2, this.events.length - 1);
  }
}

const positionOf = (index: number): Position => BigInt((index + 1) * gap) as Position;
