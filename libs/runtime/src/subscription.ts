import type { Journal, Position, RecordedEvent, StreamPrefix, SubscriptionMessage } from '@tidemark/journal';
import type { Instant, Random, Result } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
import type { Backoff } from '@tidemark/kernel';
import { delayBefore_ms } from '@tidemark/kernel';
import { defaultBackoff } from './backoff.ts';
import { deferred } from './deferred.ts';
import { describeFault, isPassing } from './fault.ts';
import { Listeners } from './listeners.ts';
import { untilDone } from './retry.ts';
import type { Time } from './time.ts';
import { elapsed } from './time.ts';

/** How a subscription stands. `since` is when it entered the state. */
export type SubscriptionHealth =
  | { readonly state: 'catching-up'; readonly since: Instant }
  | { readonly state: 'live'; readonly since: Instant }
  /** The journal cannot be read; it is tried again and again. `since` is the first failure of the row. */
  | { readonly state: 'down'; readonly since: Instant; readonly attempts: number; readonly lastError: string }
  | { readonly state: 'stopped'; readonly since: Instant };

/** What became of an event: `stopped` leaves it to the next start. */
export type Handled = 'handled' | 'stopped';

/** What a subscription follows, and what it does with each event. */
export interface SubscriptionOptions {
  readonly journal: Journal;
  readonly prefixes: readonly StreamPrefix[];
  /**
   * Called for one event after the other. It deals with its own faults; what it throws is a bug and ends the
   * subscription, since an event half handled must not be handled again.
   */
  readonly handle: (event: RecordedEvent, stop: AbortSignal) => Handled | Promise<Handled>;
  /** Told when everything recorded so far was handled or filtered out, up to this position. */
  readonly caughtUp?: (position: Position | undefined) => void;
  /** Where the place is kept, written after each event handled; absent: the reader keeps it otherwise, or not at all. */
  readonly checkpoint?: string;
  readonly time: Time;
  readonly random: Random;
  readonly backoff?: Backoff;
}

/**
 * A catch-up subscription that outlives the journal's bad hours: history first, then live, each event once while the
 * process runs. With a checkpoint the next process goes on where this one stopped; an event that was handled but not
 * yet noted when the process died is handled again, so what it does outside is done at least once.
 */
export class Subscription {
  readonly #options: SubscriptionOptions;
  readonly #stop = new AbortController();
  readonly #healthListeners = new Listeners<SubscriptionHealth>();
  readonly #firstCaughtUp = deferred<undefined>();
  #health: SubscriptionHealth;
  #position: Position | undefined;
  #ended: Promise<void> | undefined;

  constructor(options: SubscriptionOptions) {
    this.#options = options;
    this.#health = { state: 'catching-up', since: options.time.now() };
  }

  get health(): SubscriptionHealth {
    return this.#health;
  }

  /** Calls back with each change of health, from now on; the returned function ends that. */
  onHealth(listener: (health: SubscriptionHealth) => void): () => void {
    return this.#healthListeners.add(listener);
  }

  /** The position up to which everything wanted was handled. */
  get position(): Position | undefined {
    return this.#position;
  }

  /** Fulfilled after `stop`; rejected with the bug that ended the subscription. Whoever runs it must watch this. */
  get ended(): Promise<void> {
    invariant(this.#ended !== undefined, 'a subscription is started before its end is waited for');
    return this.#ended;
  }

  /** Begins strictly after the position, or the checkpoint where there is one. Resolves when it first caught up, or ended. */
  async start(after?: Position): Promise<void> {
    invariant(this.#ended === undefined, 'a subscription is started once');
    this.#position = after;
    this.#ended = this.#run();
    await Promise.race([this.#firstCaughtUp.promise, this.#ended]);
  }

  /** Finishes the event in hand and ends. */
  async stop(): Promise<void> {
    this.#stop.abort();
    await this.#ended;
  }

  async #run(): Promise<void> {
    await this.#readCheckpoint();
    for (let attempts = 0; !this.#stopped();) {
      const messages = this.#subscribe();
      try {
        while (await this.#takeNext(messages)) attempts = 0;
      } catch (fault) {
        if (!isPassing(fault)) throw fault;
        attempts += 1;
        this.#goDown(fault, attempts);
        await this.#pause(attempts);
      }
    }
    this.#become({ state: 'stopped', since: this.#options.time.now() });
  }

  #subscribe(): AsyncIterator<SubscriptionMessage> {
    const { journal, prefixes } = this.#options;
    const place = this.#position === undefined ? {} : { after: this.#position };
    return journal.subscribe({ ...place, prefixes, signal: this.#stop.signal })[Symbol.asyncIterator]();
  }

  /** One message from the journal to its end; false when there are no more. */
  async #takeNext(messages: AsyncIterator<SubscriptionMessage>): Promise<boolean> {
    const next = await messages.next();
    if (next.done === true) {
      invariant(this.#stopped(), 'a subscription ends only when it is told to');
      return false;
    }
    if (next.value.type === 'caught-up') this.#reach(next.value.position);
    else await this.#take(next.value.event);
    if (this.#stopped()) await messages.return?.();
    return !this.#stopped();
  }

  #reach(position: Position | undefined): void {
    this.#position = position;
    this.#become({ state: 'live', since: this.#options.time.now() });
    this.#options.caughtUp?.(position);
    this.#firstCaughtUp.resolve(undefined);
  }

  async #take(event: RecordedEvent): Promise<void> {
    if (this.#health.state === 'down') this.#become({ state: 'catching-up', since: this.#options.time.now() });
    const handled = await this.#handle(event);
    if (handled === 'stopped') {
      invariant(this.#stopped(), 'an event is left unhandled only when the subscription stops');
      return;
    }
    this.#position = event.position;
    const { checkpoint, journal } = this.#options;
    if (checkpoint !== undefined) await this.#persist(() => journal.writeCheckpoint(checkpoint, event.position));
  }

  /** A fault that the handler lets through would look like one of the journal, and the event would come again. */
  async #handle(event: RecordedEvent): Promise<Handled> {
    try {
      return await this.#options.handle(event, this.#stop.signal);
    } catch (error) {
      invariant(!isPassing(error), 'a handler deals with its own faults');
      throw error;
    }
  }

  async #readCheckpoint(): Promise<void> {
    const { checkpoint, journal } = this.#options;
    if (checkpoint === undefined) return;
    const noted = await this.#persist(() => journal.readCheckpoint(checkpoint));
    if (noted.ok) this.#position = noted.value;
  }

  async #persist<Value>(attempt: () => Promise<Value>): Promise<Result<Value, 'stopped'>> {
    const { random, backoff = defaultBackoff, time } = this.#options;
    const { state } = this.#health;
    const result = await untilDone(attempt, {
      timer: time,
      random,
      backoff,
      stop: this.#stop.signal,
      onFault: (fault, attempts) => this.#goDown(fault, attempts),
    });
    if (this.#health.state === 'down')
      this.#become({ state: state === 'live' ? 'live' : 'catching-up', since: time.now() });
    return result;
  }

  async #pause(attempts: number): Promise<void> {
    const { random, backoff = defaultBackoff, time } = this.#options;
    await elapsed(time, delayBefore_ms(attempts - 1, backoff, random), this.#stop.signal);
  }

  #goDown(fault: unknown, attempts: number): void {
    const since = this.#health.state === 'down' ? this.#health.since : this.#options.time.now();
    this.#become({ state: 'down', since, attempts, lastError: describeFault(fault) });
  }

  #become(health: SubscriptionHealth): void {
    if (health.state === this.#health.state && health.state !== 'down') return;
    this.#health = health;
    this.#healthListeners.tell(health);
  }

  #stopped(): boolean {
    return this.#stop.signal.aborted;
  }
}
