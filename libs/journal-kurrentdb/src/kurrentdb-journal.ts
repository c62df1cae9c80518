import { setMaxListeners } from 'node:events';
import type { Instant, Random, Result } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
import type {
  Append,
  Appended,
  AppendRejection,
  BrokenChain,
  Journal,
  Position,
  ReadAll,
  ReadStream,
  RecordedEvent,
  Revision,
  StoredEvent,
  StreamName,
  Subscribe,
  SubscriptionMessage,
  Verified,
} from '@tidemark/journal';
import {
  decodeStored,
  encodeAppends,
  heldSubscription,
  JournalClosed,
  JournalUnavailable,
  verifyChain,
} from '@tidemark/journal';
import { AppendQueue } from './append-queue.ts';
import { BatchAppends } from './batch-appends.ts';
import { Checkpoints } from './checkpoints.ts';
import { Connection } from './connection.ts';
import { KnownStreams } from './known-streams.ts';
import { Stopped } from './faults.ts';
import type { Patience } from './patience.ts';
import { defaultPatience } from './patience.ts';
import { assertOurs } from './record.ts';
import type { StreamPart } from './reads.ts';
import { Reads } from './reads.ts';
import { ServerNames } from './server-names.ts';
import { StreamWriter } from './stream-writer.ts';
import type { SubscriptionParts } from './subscription.ts';
import { KurrentDbSubscription } from './subscription.ts';

/** Where the server is, and what the journal takes from outside. */
export interface KurrentDbJournalOptions {
  /**
   * `kurrentdb://host:2113,host:2113,host:2113?tlsCAFile=/path/ca.crt`: every node of a cluster, since the others are
   * asked when one dies. The client's options may follow; `tls=false` sends everything, but no password, in clear text.
   */
  readonly url: string;
  /** Tells the journal's streams from others on the server: 1 to 40 lower-case letters and digits; absent: `tidemark`. */
  readonly namespace?: string;
  /** Stamps `recordedAt`. */
  readonly clock: () => Instant;
  /** Spreads the tries of many clients. */
  readonly random: Random;
  /** What differs from `defaultPatience`. */
  readonly patience?: Partial<Patience>;
}

/**
 * The journal on a KurrentDB server or cluster (23.10 or later). Many processes may write. An append is durable when it
 * resolves: the server answers once a majority of the cluster has it. How durable one node alone is, is the server's
 * setting. `verify` finds what was changed, removed or reordered within a stream; a stream's end that was cut off it
 * cannot find, since nothing but the server notes where a stream ends.
 */
export class KurrentDbJournal implements Journal {
  readonly #clock: () => Instant;
  readonly #connection: Connection;
  readonly #reads: Reads;
  readonly #queue: AppendQueue;
  readonly #checkpoints: Checkpoints;
  readonly #subscriptionParts: SubscriptionParts;
  readonly #subscriptions = new Set<AbortController>();
  readonly #closing = new AbortController();
  #closed: Promise<void> | undefined;

  /** Connects with the first use. Throws `UnusableServerUrl`. */
  static open(options: KurrentDbJournalOptions): KurrentDbJournal {
    return new KurrentDbJournal(options);
  }

  private constructor({ url, namespace = 'tidemark', clock, random, patience: given }: KurrentDbJournalOptions) {
    const patience = { ...defaultPatience, ...given };
    const names = new ServerNames(namespace);
    const connection = new Connection(url);
    const appends = new BatchAppends(connection, patience.answer_ms);
    const reads = new Reads(connection, names, patience, random);
    const writer = new StreamWriter({ reads, appends, names, patience, random, known: new KnownStreams(reads) });
    // Every read under way listens for the end of the journal; Node takes more than ten for a leak.
    setMaxListeners(0, this.#closing.signal);
    this.#clock = clock;
    this.#connection = connection;
    this.#reads = reads;
    this.#queue = new AppendQueue((group, turn) => writer.write(group, this.#clock(), turn));
    this.#checkpoints = new Checkpoints({ connection, appends, names, patience, random });
    this.#subscriptionParts = { connection, reads, names, patience, random, decode };
  }

  async append(append: Append): Promise<Result<Appended, AppendRejection>> {
    const [result] = await this.appendAll([append]);
    invariant(result !== undefined, 'every append has a result');
    return result;
  }

  async appendAll(appends: readonly Append[]): Promise<readonly Result<Appended, AppendRejection>[]> {
    const encoded = encodeAppends(appends);
    this.#assertOpen('append');
    return await Promise.all(encoded.map(async (append) => (append.ok ? await this.#queue.add(append.value) : append)));
  }

  async *readStream(stream: StreamName, options: ReadStream = {}): AsyncGenerator<RecordedEvent> {
    const { direction = 'forward', from } = options;
    const limit = limitOf(options.limit);
    this.#assertOpen('read');
    const first = direction === 'forward' || from === undefined ? from : await this.#atMost(stream, from);
    for await (const event of this.#storedStream({ stream, direction, from: first, limit })) yield decode(event);
  }

  async *readAll(options: ReadAll = {}): AsyncGenerator<RecordedEvent> {
    for await (const event of this.#storedAll(options)) yield decode(event);
  }

  /** Each iteration is a subscription of its own; leaving it early, or `return()` while it waits, ends it at once. */
  subscribe(options: Subscribe = {}): AsyncIterable<SubscriptionMessage> {
    return {
      [Symbol.asyncIterator]: () =>
        heldSubscription(this.#subscriptions, options, (stop) => this.#messages(options, stop)),
    };
  }

  async head(): Promise<Position | undefined> {
    this.#assertOpen('read');
    return await this.#reads.newest();
  }

  async readCheckpoint(name: string): Promise<Position | undefined> {
    this.#assertOpen('read');
    return await this.#checkpoints.read(name);
  }

  async writeCheckpoint(name: string, position: Position): Promise<void> {
    this.#assertOpen('checkpoint');
    await this.#checkpoints.write(name, position);
  }

  async verify(stream?: StreamName): Promise<Result<Verified, BrokenChain>> {
    this.#assertOpen('read');
    const events =
      stream === undefined
        ? this.#storedAll({})
        : this.#storedStream({ stream, direction: 'forward', from: undefined, limit: Number.POSITIVE_INFINITY });
    return await verifyChain({ events, tails: new Map() });
  }

  close(): Promise<void> {
    this.#closed ??= this.#close();
    return this.#closed;
  }

  async #close(): Promise<void> {
    for (const subscription of this.#subscriptions) subscription.abort();
    await Promise.all([this.#queue.drained(), this.#checkpoints.drained()]);
    this.#closing.abort();
    await this.#connection.close();
  }

  /** Ends with what was recorded when it began, or a fast writer would keep a reader for ever. */
  async *#storedAll(options: ReadAll): AsyncGenerator<StoredEvent> {
    const { direction = 'forward', after, prefixes } = options;
    const limit = limitOf(options.limit);
    this.#assertOpen('read');
    const until = await this.#reads.newest(undefined, this.#closing.signal);
    const part = { direction, after, prefixes, limit } as const;
    for await (const event of this.#untilClosed(this.#reads.log(part, this.#closing.signal))) {
      const isLater = until === undefined || event.position > until;
      if (isLater && direction === 'forward') return;
      if (!isLater) yield event;
    }
  }

  #storedStream(part: StreamPart): AsyncGenerator<StoredEvent> {
    return this.#untilClosed(this.#reads.stream(part, this.#closing.signal));
  }

  async *#untilClosed(events: AsyncGenerator<StoredEvent>): AsyncGenerator<StoredEvent> {
    try {
      yield* events;
    } catch (fault) {
      if (fault instanceof Stopped) this.#assertOpen('read');
      throw fault;
    }
  }

  /** The revision, or the stream's last where that is smaller: servers differ in where they begin beyond the end. */
  async #atMost(stream: StreamName, revision: Revision): Promise<Revision> {
    const part = { stream, direction: 'backward', from: undefined, limit: 1 } as const;
    for await (const last of this.#storedStream(part)) return revision < last.revision ? revision : last.revision;
    return revision;
  }

  async *#messages(options: Subscribe, stop: AbortSignal): AsyncGenerator<SubscriptionMessage, undefined> {
    this.#assertOpen('read');
    return yield* new KurrentDbSubscription(this.#subscriptionParts, options, stop).messages();
  }

  #assertOpen(operation: 'append' | 'read' | 'checkpoint'): void {
    if (this.#closed !== undefined) throw new JournalUnavailable(operation, new JournalClosed());
  }
}

function limitOf(limit: number | undefined): number {
  invariant(limit === undefined || (Number.isInteger(limit) && limit >= 0), 'a limit is a whole number of events');
  return limit ?? Number.POSITIVE_INFINITY;
}

function decode(stored: StoredEvent): RecordedEvent {
  try {
    assertOurs(stored);
    return decodeStored(stored);
  } catch (cause) {
    throw new JournalUnavailable('read', cause);
  }
}
