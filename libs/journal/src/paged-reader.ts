import { setImmediate as nextTurn } from 'node:timers/promises';
import type { Result } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
import type { Bell } from './bell.ts';
import { heldSubscription } from './held-subscription.ts';
import type {
  BrokenChain,
  Position,
  ReadAll,
  ReadStream,
  RecordedEvent,
  Revision,
  StreamName,
  StreamPrefix,
  Subscribe,
  SubscriptionMessage,
  Verified,
} from './journal.ts';
import { JournalClosed, JournalUnavailable } from './journal.ts';
import type { StreamTail } from './record-append.ts';
import type { StoredEvent } from './stored-event.ts';
import { decodeStored } from './stored-event.ts';
import { verifyChain } from './verify.ts';

/** How many events a reader takes at a time, and by how many a subscription may lag before it counts as fallen behind. */
export const pageLimit_events = 500;

/** One page of a stream, by revision, both bounds included. */
export interface StreamPageRequest {
  readonly stream: StreamName;
  readonly direction: 'forward' | 'backward';
  readonly from: Revision | undefined;
  readonly limit: number;
}

/** One page of the whole journal, by position. */
export interface AllPageRequest {
  readonly direction: 'forward' | 'backward';
  /** Strictly after, or backward strictly before; absent: from the start or the end. */
  readonly after: Position | undefined;
  readonly prefixes: readonly StreamPrefix[] | undefined;
  readonly limit: number;
}

/** What was found, and how far was looked for it. */
export interface AllPage {
  readonly events: readonly StoredEvent[];
  /** Where to go on: everything up to here is in `events` or not wanted. */
  readonly lookedTo: Position | undefined;
  /** Whether the journal ended there. */
  readonly atEnd: boolean;
}

/** A store that answers at once, a page at a time. A page may be shorter than asked for; a stream's is empty only at its end. */
export interface PagedStore {
  readonly streamPage: (request: StreamPageRequest) => readonly StoredEvent[];
  readonly allPage: (request: AllPageRequest) => AllPage;
  readonly head: () => Position | undefined;
  /** The ends of one stream, or of all, as noted beside the events. */
  readonly tails: (stream: StreamName | undefined) => ReadonlyMap<StreamName, StreamTail>;
}

/** The reading half of a journal over a store that gives pages; between pages other work of the process goes on. */
export class PagedReader {
  readonly #store: PagedStore;
  readonly #bell: Bell;
  #closed = false;
  readonly #subscriptions = new Set<AbortController>();

  constructor(store: PagedStore, bell: Bell) {
    this.#store = store;
    this.#bell = bell;
  }

  async *readStream(stream: StreamName, options: ReadStream = {}): AsyncGenerator<RecordedEvent> {
    for await (const event of this.#storedStream(stream, options)) yield decode(event);
  }

  async *readAll(options: ReadAll = {}): AsyncGenerator<RecordedEvent> {
    for await (const event of this.#storedAll(options)) yield decode(event);
  }

  /** Each iteration is a subscription of its own; leaving it early, or `return()` while it waits, ends it at once. */
  subscribe(options: Subscribe = {}): AsyncIterable<SubscriptionMessage> {
    return {
      [Symbol.asyncIterator]: () =>
        heldSubscription(this.#subscriptions, options, (stop) => this.#follow(options, stop)),
    };
  }

  head(): Promise<Position | undefined> {
    return new Promise((resolve) => resolve(this.#open().head()));
  }

  async verify(stream?: StreamName): Promise<Result<Verified, BrokenChain>> {
    const tails = this.#open().tails(stream);
    const events = stream === undefined ? this.#storedAll({}) : this.#storedStream(stream, {});
    return await verifyChain({ events, tails });
  }

  /** A closed journal is unavailable for ever. */
  assertOpen(operation: 'append' | 'read' | 'checkpoint'): void {
    if (this.#closed) throw new JournalUnavailable(operation, new JournalClosed());
  }

  /** Ends every subscription, and every read at its next page. */
  close(): void {
    this.#closed = true;
    for (const subscription of this.#subscriptions) subscription.abort();
  }

  #open(): PagedStore {
    this.assertOpen('read');
    return this.#store;
  }

  async *#storedStream(stream: StreamName, options: ReadStream): AsyncGenerator<StoredEvent> {
    const { direction = 'forward' } = options;
    let left = limitOf(options.limit);
    let from = options.from;
    while (left > 0) {
      const page = this.#open().streamPage({ stream, direction, from, limit: Math.min(left, pageLimit_events) });
      yield* page;
      const last = page.at(-1);
      if (last === undefined || (direction === 'backward' && last.revision === 0n)) return;
      from = (direction === 'forward' ? last.revision + 1n : last.revision - 1n) as Revision;
      left -= page.length;
      await nextTurn();
    }
  }

  async *#storedAll(options: ReadAll): AsyncGenerator<StoredEvent> {
    const { direction = 'forward', prefixes } = options;
    const until = this.#open().head();
    let left = limitOf(options.limit);
    let after = options.after;
    while (left > 0) {
      const page = this.#open().allPage({ direction, after, prefixes, limit: Math.min(left, pageLimit_events) });
      // Whatever is recorded while we read is left to the next reader, or a fast writer would keep this one for ever.
      const events = page.events.filter(({ position }) => until !== undefined && position <= until);
      yield* events;
      if (page.atEnd || events.length < page.events.length) return;
      after = page.lookedTo;
      left -= events.length;
      await nextTurn();
    }
  }

  async *#follow(options: Subscribe, stop: AbortSignal): AsyncGenerator<SubscriptionMessage, undefined> {
    let { after } = options;
    let caughtUp = false;
    invariant(hasReached(this.#open().head(), after), 'a subscription begins at a position the journal has reached');
    // A function, since it may turn true wherever this generator hands over.
    const stopped = (): boolean => stop.aborted;
    while (!stopped()) {
      const rings = this.#bell.rings();
      const { prefixes } = options;
      const page = this.#open().allPage({ direction: 'forward', after, prefixes, limit: pageLimit_events });
      for (const event of page.events) {
        yield { type: 'event', event: decode(event) };
        if (stopped()) return;
      }
      after = page.lookedTo;
      if (page.atEnd && !caughtUp) yield { type: 'caught-up', position: after };
      caughtUp = page.atEnd;
      if (page.atEnd) await this.#bell.ringsAfter(rings, stop);
      else await nextTurn();
    }
  }
}

const hasReached = (head: Position | undefined, after: Position | undefined): boolean =>
  after === undefined || (head !== undefined && after <= head);

function limitOf(limit: number | undefined): number {
  invariant(limit === undefined || (Number.isInteger(limit) && limit >= 0), 'a limit is a whole number of events');
  return limit ?? Number.POSITIVE_INFINITY;
}

function decode(stored: StoredEvent): RecordedEvent {
  try {
    return decodeStored(stored);
  } catch (cause) {
    throw new JournalUnavailable('read', cause);
  }
}
