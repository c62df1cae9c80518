import type { Instant, Random } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
import type { Backoff } from '@tidemark/kernel';
import { delayBefore_ms } from '@tidemark/kernel';
import { defaultBackoff } from './backoff.ts';
import type { BrokerAddress } from './broker-address.ts';
import type { Deferred } from './deferred.ts';
import { deferred } from './deferred.ts';
import type { BrokerFault } from './fault.ts';
import type { Acknowledgement, ReasonCode } from './reason-code.ts';
import { reasonCode } from './reason-code.ts';
import type { Publish } from './read-publish.ts';
import type { SessionOptions } from './session.ts';
import { Session } from './session.ts';

/** A message as a broker delivered it. */
export interface ReceivedMessage {
  readonly topic: string;
  readonly payload: Uint8Array;
  readonly contentType?: string;
  /** Stored by the broker and sent because of the subscription, not because it was published now. */
  readonly retained: boolean;
  /** How much of the payload's tail is missing because the packet was larger than `largestPacket_bytes`: 0 as a rule. */
  readonly omitted_bytes: number;
  readonly receivedAt: Instant;
}

/** Messages to be made durable together. */
export interface Batch {
  readonly messages: readonly ReceivedMessage[];
  /**
   * Tells the broker that all of them are kept. A reason may be given for each message, in their order; absent: success.
   * Goes only to the connection each message came from: over a later one their packet ids mean something else.
   */
  readonly acknowledge: (reasons?: readonly ReasonCode[]) => void;
}

/** Whether messages can arrive. */
export type SourceHealth =
  | { readonly state: 'connecting'; readonly since: Instant }
  | { readonly state: 'live'; readonly since: Instant }
  | { readonly state: 'down'; readonly since: Instant; readonly lastError: string; readonly attempts: number }
  | { readonly state: 'closed'; readonly since: Instant };

/** Where messages come from, and what time and chance are. */
export interface SourceOptions extends Partial<Omit<SessionOptions, 'broker' | 'clientId' | 'filters'>> {
  readonly broker: BrokerAddress;
  /** Fixed for a station: the broker keeps the queue under this name while the station is away. */
  readonly clientId: string;
  readonly filters: readonly string[];
  readonly now: () => Instant;
  readonly random: Random;
  readonly backoff?: Backoff;
}

/** Choices of this project. The receive maximum bounds how much a crash makes the broker send again. */
export const sourceDefaults = {
  sessionExpiry_s: 7 * 86_400,
  receiveMaximum: 2_000,
  keepalive_s: 30,
  largestPacket_bytes: 2 * 1024 * 1024,
  answer_ms: 10_000,
} as const;

/** The queue between the socket and the reader; at either limit reading stops until half of it is taken. */
const queueLimit = { messages: 8_000, bytes: 32 * 1024 * 1024 } as const;

/** The most messages of one batch, unless the reader takes fewer. */
const largestBatch = 2_000;

interface Queued {
  readonly message: ReceivedMessage;
  readonly session: Session;
  readonly messageId: number | undefined;
}

/**
 * Messages from a broker, acknowledged by the reader and by nobody else (QoS 1; QoS 0 needs none). Connects, and
 * connects again for ever, with a kept session, so that what was not acknowledged comes again.
 */
export class AcknowledgedSource {
  readonly #options: SourceOptions;
  readonly #listeners = new Set<(health: SourceHealth) => void>();
  readonly #stop = new AbortController();
  #health: SourceHealth;
  #queue: Queued[] = [];
  #queued_bytes = 0;
  #session: Session | undefined;
  #waiting: Deferred<undefined> | undefined;
  #paused = false;
  #read = false;

  constructor(options: SourceOptions) {
    this.#options = options;
    this.#health = { state: 'connecting', since: options.now() };
    void this.#run();
  }

  get health(): SourceHealth {
    return this.#health;
  }

  /** Calls back with each change of health, from now on; the returned function ends that. */
  onHealth(listener: (health: SourceHealth) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /**
   * All that arrived since the last batch was taken. One reader: the next batch is asked for when the one before is
   * done with, which makes the groups as large as the commits are slow, and keeps acknowledgements in order.
   */
  async *batches(largest: number = largestBatch): AsyncGenerator<Batch, void, undefined> {
    invariant(!this.#read, 'a source has one reader');
    this.#read = true;
    while (!this.#isClosed()) {
      if (this.#queue.length === 0) {
        this.#waiting = deferred();
        await this.#waiting.promise;
        // One turn of the loop, so that what the sockets already hold joins the group.
        await new Promise(setImmediate);
      }
      if (this.#queue.length > 0) yield this.#take(largest);
    }
  }

  /** Leaves the broker, which keeps what was not acknowledged, and ends the iteration. */
  close(): void {
    if (this.#isClosed()) return;
    this.#stop.abort();
    this.#session?.close();
    this.#queue = [];
    this.#become({ state: 'closed', since: this.#options.now() });
    this.#waiting?.resolve(undefined);
  }

  #take(largest: number): Batch {
    const taken = this.#queue.splice(0, largest);
    for (const { message } of taken) this.#queued_bytes -= message.payload.length;
    if (this.#paused && this.#queue.length <= queueLimit.messages / 2 && this.#queued_bytes <= queueLimit.bytes / 2) {
      this.#paused = false;
      this.#session?.resume();
    }
    let acknowledged = false;
    return {
      messages: taken.map(({ message }) => message),
      acknowledge: (reasons) => {
        // Twice would acknowledge whatever the broker has sent since under the same packet ids.
        invariant(!acknowledged, 'a batch is acknowledged once');
        acknowledged = true;
        acknowledge(taken, reasons);
      },
    };
  }

  async #run(): Promise<void> {
    for (let attempts = 0; !this.#isClosed(); attempts += 1) {
      const fault = await this.#connect(() => (attempts = 0));
      if (this.#isClosed()) return;
      const since = this.#health.state === 'down' ? this.#health.since : this.#options.now();
      this.#become({ state: 'down', since, lastError: fault.message, attempts: attempts + 1 });
      const delay_ms = delayBefore_ms(attempts, this.#options.backoff ?? defaultBackoff, this.#options.random);
      await elapse(delay_ms, this.#stop.signal);
    }
  }

  /** One connection from its beginning to its end, which is always a fault or our own leaving. */
  async #connect(onLive: () => void): Promise<BrokerFault> {
    const session = new Session({ ...sourceDefaults, ...this.#options }, (publish, omitted_bytes, from) => {
      this.#receive(publish, omitted_bytes, from);
    });
    this.#session = session;
    if (this.#paused) session.pause();
    session.opened.then(
      () => {
        onLive();
        this.#become({ state: 'live', since: this.#options.now() });
      },
      () => undefined,
    );
    const fault = await session.ended;
    this.#session = undefined;
    return fault;
  }

  #receive({ topic, payload, retain, messageId, contentType }: Publish, omitted_bytes: number, session: Session): void {
    const receivedAt = this.#options.now();
    const message: ReceivedMessage =
      contentType === undefined
        ? { topic, payload, retained: retain, omitted_bytes, receivedAt }
        : { topic, payload, contentType, retained: retain, omitted_bytes, receivedAt };
    this.#queue.push({ message, session, messageId });
    this.#queued_bytes += payload.length;
    this.#waiting?.resolve(undefined);
    if (this.#queue.length < queueLimit.messages && this.#queued_bytes < queueLimit.bytes) return;
    this.#paused = true;
    session.pause();
  }

  #isClosed(): boolean {
    return this.#stop.signal.aborted;
  }

  #become(health: SourceHealth): void {
    this.#health = health;
    for (const listener of this.#listeners) listener(health);
  }
}

function acknowledge(taken: readonly Queued[], reasons: readonly ReasonCode[] | undefined): void {
  invariant(reasons === undefined || reasons.length === taken.length, 'each message has its reason');
  const bySession = new Map<Session, Acknowledgement[]>();
  for (const [index, { session, messageId }] of taken.entries()) {
    if (messageId === undefined) continue;
    const list = bySession.get(session) ?? [];
    list.push({ messageId, reason: reasons?.[index] ?? reasonCode.success });
    bySession.set(session, list);
  }
  for (const [session, list] of bySession) session.acknowledge(list);
}

function elapse(delay_ms: number, signal: AbortSignal): Promise<void> {
  return new Promise((resolve) => {
    const done = (): void => {
      clearTimeout(timer);
      signal.removeEventListener('abort', done);
      resolve();
    };
    const timer = setTimeout(done, delay_ms);
    signal.addEventListener('abort', done, { once: true });
  });
}
