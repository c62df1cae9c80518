import { setTimeout as sleep } from 'node:timers/promises';
import type { ReadResp } from '@eventstore/db-client/generated/streams_pb.js';
import type { Random } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
import type { Position, RecordedEvent, StoredEvent, Subscribe, SubscriptionMessage } from '@tidemark/journal';
import { pageLimit_events } from '@tidemark/journal';
import type { Connection } from './connection.ts';
import { forEver_ms } from './connection.ts';
import { AnswerOverdue, CallEnded, Stopped } from './faults.ts';
import type { Patience } from './patience.ts';
import type { Reads } from './reads.ts';
import { storedOf } from './record.ts';
import { subscriptionRequest } from './requests.ts';
import { Attempts } from './retrying.ts';
import type { ServerNames } from './server-names.ts';

/** Whom a subscription works with. */
export interface SubscriptionParts {
  readonly connection: Connection;
  readonly reads: Reads;
  readonly names: ServerNames;
  readonly patience: Patience;
  readonly random: Random;
  readonly decode: (stored: StoredEvent) => RecordedEvent;
}

/** What is known of the journal when a subscription is opened anew. */
interface Opening {
  /** The newest event before it was opened: once the server says it is caught up, everything up to here has passed. */
  readonly newest: Position | undefined;
  /** How many events it has delivered. */
  events: number;
}

/**
 * One subscription of the port over as many of the server's as it takes. Each begins strictly after the last event that
 * was delivered, or after the last place up to which the server found nothing wanted, so there is no gap and no repeat
 * however one ends: with an error, quietly, or by silence, which a look at the log reveals.
 */
export class KurrentDbSubscription {
  readonly #parts: SubscriptionParts;
  readonly #options: Subscribe;
  readonly #stop: AbortSignal;
  /** Everything wanted up to here was delivered. */
  #passed: Position | undefined;
  /** The last event delivered, or where the subscriber began. */
  #delivered: Position | undefined;
  #caughtUp = false;

  constructor(parts: SubscriptionParts, options: Subscribe, stop: AbortSignal) {
    this.#parts = parts;
    this.#options = options;
    this.#stop = stop;
    this.#passed = options.after;
    this.#delivered = options.after;
  }

  /** Ends when it is stopped. Rejects with `JournalUnavailable` when the server cannot be reached for too long. */
  async *messages(): AsyncGenerator<SubscriptionMessage, undefined> {
    const { patience, random } = this.#parts;
    const attempts = new Attempts('read', patience, random);
    try {
      await this.#assertReached();
      while (!this.#isStopped())
        try {
          for await (const message of this.#once(attempts)) {
            yield message;
            if (this.#isStopped()) return;
          }
        } catch (error) {
          await attempts.failed(error, this.#stop);
        }
    } catch (error) {
      if (!(error instanceof Stopped)) throw error;
    }
  }

  /** A method, since it may turn true wherever the generator hands over. */
  #isStopped(): boolean {
    return this.#stop.aborted;
  }

  async #assertReached(): Promise<void> {
    const { after } = this.#options;
    if (after === undefined) return;
    const newest = await this.#parts.reads.newest(undefined, this.#stop);
    invariant(newest !== undefined && after <= newest, 'a subscription begins at a position the journal has reached');
  }

  /** One subscription of the server, from where the last one ended. */
  async *#once(attempts: Attempts): AsyncGenerator<SubscriptionMessage> {
    const { connection, names, patience, reads } = this.#parts;
    const opening: Opening = { newest: await reads.newest(undefined, this.#stop), events: 0 };
    const request = subscriptionRequest(this.#passed, names.prefixes(this.#options.prefixes));
    // Of its own, since a read that waits for its next message can only be ended by a signal.
    const leaving = new AbortController();
    const stop = AbortSignal.any([this.#stop, leaving.signal]);
    const answers = connection.read(request, { first_ms: patience.answer_ms, next_ms: forEver_ms, stop });
    try {
      for (;;) {
        const next = await this.#next(answers);
        if (next.done === true) throw new CallEnded('subscription');
        yield* this.#take(next.value, opening);
        // Who only confirms, and then ends, has not helped yet.
        if (!next.value.hasConfirmation()) attempts.succeeded();
      }
    } finally {
      leaving.abort();
      await answers.return(undefined);
    }
  }

  /** The next answer. Rejects when the server has fallen silent though the log holds more. */
  async #next(answers: AsyncGenerator<ReadResp, undefined>): Promise<IteratorResult<ReadResp, undefined>> {
    const { probe_ms } = this.#parts.patience;
    const arrived = new AbortController();
    const next = answers.next();
    next.finally(() => arrived.abort()).catch(() => undefined);
    for (let isSuspected = false; ;) {
      await sleep(probe_ms, undefined, { signal: arrived.signal }).catch(() => undefined);
      if (arrived.signal.aborted) return await next;
      const isMissing = await this.#isMissing(undefined);
      // What was recorded a moment ago may still be on its way; what was missing a whole probe ago is not.
      if (isMissing && isSuspected) throw new AnswerOverdue(probe_ms);
      isSuspected = isMissing;
    }
  }

  /** Whether the log holds a wanted event that was not delivered, up to the position where one is given. */
  async #isMissing(upTo: Position | undefined): Promise<boolean> {
    const { prefixes } = this.#options;
    const part = { direction: 'forward', after: this.#passed, prefixes, limit: 1 } as const;
    for await (const { position } of this.#parts.reads.log(part, this.#stop))
      return upTo === undefined || position <= upTo;
    return false;
  }

  async *#take(answer: ReadResp, opening: Opening): AsyncGenerator<SubscriptionMessage> {
    const event = storedOf(answer, this.#parts.names);
    if (event !== undefined && event.position > (this.#passed ?? -1n)) {
      this.#passed = event.position;
      this.#delivered = event.position;
      opening.events += 1;
      yield { type: 'event', event: this.#parts.decode(event) };
    }
    const checkpoint = answer.getCheckpoint();
    if (checkpoint !== undefined) this.#passed = larger(this.#passed, BigInt(checkpoint.getCommitPosition()));
    if (answer.hasCaughtUp()) yield* this.#catchUp(opening);
  }

  /**
   * The server says so each time it has gone from reading its log to passing on what is recorded. It is looked up, not
   * believed: a node that has just ceased to lead may be behind what the leader holds. Where only the subscription was
   * lost and little was missed, the subscriber never fell behind.
   */
  async *#catchUp(opening: Opening): AsyncGenerator<SubscriptionMessage> {
    const { newest } = opening;
    const isBehind = newest !== undefined && newest > (this.#passed ?? -1n) && (await this.#isMissing(newest));
    if (isBehind) throw new CallEnded('subscription');
    const isAgain = this.#caughtUp && opening.events < pageLimit_events;
    this.#caughtUp = true;
    opening.events = 0;
    if (!isAgain) yield { type: 'caught-up', position: larger(this.#delivered, newest) };
  }
}

const larger = (one: Position | undefined, other: bigint | undefined): Position | undefined =>
  other !== undefined && (one === undefined || other > one) ? (other as Position) : one;
