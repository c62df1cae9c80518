import type { Journal, Position, RecordedEvent, Revision, StreamName, StreamPrefix } from '@tidemark/journal';
import type { Random, Result } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
import type { Backoff } from '@tidemark/kernel';
import type { Deferred } from './deferred.ts';
import { deferred } from './deferred.ts';
import type { Handled, SubscriptionHealth } from './subscription.ts';
import { Subscription } from './subscription.ts';
import type { Time } from './time.ts';

/** How the events of one kind of stream become state. Pure; a key is what follows the prefix in the stream's name. */
export interface Fold<State, Event, Output> {
  readonly prefix: StreamPrefix;
  /** Refuses, with a reason, what this build does not understand. */
  readonly decode: (recorded: RecordedEvent) => Result<Event, string>;
  /** The state before the first event of a stream; `undefined` where a stream cannot begin with it. */
  readonly initial: (event: Event) => State | undefined;
  readonly step: (state: State, event: Event) => { readonly state: State; readonly outputs: readonly Output[] };
}

/** One event folded. */
export interface Change<State, Event, Output> {
  readonly key: string;
  /** Absent for the first event of the stream. */
  readonly before: State | undefined;
  readonly after: State;
  readonly event: Event;
  readonly outputs: readonly Output[];
  /** The event as recorded: its id, revision and position. */
  readonly recorded: RecordedEvent;
  /** False while history is read. */
  readonly live: boolean;
}

/** An event that was left out of the fold. */
export interface LeftOut {
  readonly position: Position;
  readonly stream: StreamName;
  readonly revision: Revision;
  readonly type: string;
  readonly reason: string;
}

/** All states as of one position. States are values, so a capture stays what it was. */
export interface Capture<State> {
  readonly position: Position;
  readonly states: ReadonlyMap<string, State>;
}

/** What a projection reads, and how. */
export interface ProjectionOptions<State, Event, Output> {
  readonly journal: Journal;
  readonly fold: Fold<State, Event, Output>;
  readonly time: Time;
  readonly random: Random;
  readonly backoff?: Backoff;
}

/** Told of every event folded; a promise is waited for before the next event, so a slow listener slows the fold. */
export type ChangeListener<State, Event, Output> = (change: Change<State, Event, Output>) => void | Promise<void>;

/** How many of the events left out are remembered, newest last; all are counted. */
const leftOutLimit = 100;

/**
 * Folds the events of every stream under a prefix, in journal order, and holds the states in memory. An event that
 * cannot be decoded is left out and reported by position; what is thrown by the fold or a listener is a bug and ends it.
 */
export class ProjectionHost<State, Event, Output> {
  readonly #fold: Fold<State, Event, Output>;
  readonly #subscription: Subscription;
  readonly #states = new Map<string, State>();
  readonly #listeners = new Set<ChangeListener<State, Event, Output>>();
  readonly #waiting = new Set<{ readonly position: Position; readonly reached: Deferred<undefined> }>();
  readonly #leftOut: LeftOut[] = [];
  #leftOutCount = 0;
  #position: Position | undefined;

  constructor({ fold, ...options }: ProjectionOptions<State, Event, Output>) {
    this.#fold = fold;
    this.#subscription = new Subscription({
      ...options,
      prefixes: [fold.prefix],
      handle: (recorded) => this.#handle(recorded),
      caughtUp: (position) => this.#reach(position),
    });
  }

  get health(): SubscriptionHealth {
    return this.#subscription.health;
  }

  onHealth(listener: (health: SubscriptionHealth) => void): () => void {
    return this.#subscription.onHealth(listener);
  }

  /** Fulfilled after `stop`; rejected with the bug that ended the fold. Whoever runs it must watch this. */
  get ended(): Promise<void> {
    return this.#subscription.ended;
  }

  /** Goes on from a capture, or folds from the beginning; resolves when it first caught up. */
  async start(from?: Capture<State>): Promise<void> {
    for (const [key, state] of from?.states ?? []) this.#states.set(key, state);
    this.#position = from?.position;
    await this.#subscription.start(from?.position);
  }

  async stop(): Promise<void> {
    await this.#subscription.stop();
  }

  get(key: string): State | undefined {
    return this.#states.get(key);
  }

  keys(): readonly string[] {
    return [...this.#states.keys()];
  }

  /** The position up to which the states hold everything; none while nothing was read. */
  position(): Position | undefined {
    return this.#position;
  }

  /** How many events were left out, and the newest of them. */
  get leftOut(): { readonly count: number; readonly newest: readonly LeftOut[] } {
    return { count: this.#leftOutCount, newest: [...this.#leftOut] };
  }

  /** All states as they are now; none before anything was read. */
  capture(): Capture<State> | undefined {
    return this.#position === undefined ? undefined : { position: this.#position, states: new Map(this.#states) };
  }

  /** Calls back with every event folded from now on; the returned function ends that. */
  onChange(listener: ChangeListener<State, Event, Output>): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** Resolves when everything up to the position was folded and the listeners are done with it. */
  async foldedUpTo(position: Position): Promise<void> {
    if (hasReached(this.#subscription.position, position)) return;
    const waiting = { position, reached: deferred<undefined>() };
    this.#waiting.add(waiting);
    await Promise.race([waiting.reached.promise, this.ended]);
    this.#waiting.delete(waiting);
  }

  async #handle(recorded: RecordedEvent): Promise<Handled> {
    const change = this.#take(recorded);
    this.#position = recorded.position;
    // All are called before any is waited for: when state and position moved, every listener has been told.
    if (change !== undefined) await Promise.all([...this.#listeners].map(async (listener) => listener(change)));
    this.#release(recorded.position);
    return 'handled';
  }

  #take(recorded: RecordedEvent): Change<State, Event, Output> | undefined {
    const decoded = this.#fold.decode(recorded);
    if (!decoded.ok) {
      this.#leaveOut(recorded, decoded.failure);
      return undefined;
    }
    const event = decoded.value;
    invariant(recorded.stream.startsWith(this.#fold.prefix), 'a subscription carries only the streams it asked for');
    const key = recorded.stream.slice(this.#fold.prefix.length);
    const before = this.#states.get(key);
    const state = before ?? this.#fold.initial(event);
    if (state === undefined) {
      this.#leaveOut(recorded, 'a stream cannot begin with it');
      return undefined;
    }
    const { state: after, outputs } = this.#fold.step(state, event);
    this.#states.set(key, after);
    return { key, before, after, event, outputs, recorded, live: this.health.state === 'live' };
  }

  #leaveOut({ position, stream, revision, type }: RecordedEvent, reason: string): void {
    this.#leftOutCount += 1;
    this.#leftOut.push({ position, stream, revision, type, reason });
    if (this.#leftOut.length > leftOutLimit) this.#leftOut.shift();
  }

  #reach(position: Position | undefined): void {
    if (position === undefined) return;
    this.#position = position;
    this.#release(position);
  }

  #release(position: Position): void {
    for (const waiting of this.#waiting) if (waiting.position <= position) waiting.reached.resolve(undefined);
  }
}

const hasReached = (current: Position | undefined, wanted: Position): boolean =>
  current !== undefined && current >= wanted;
