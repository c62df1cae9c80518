import type { ReadResp } from '@eventstore/db-client/generated/streams_pb.js';
import type { Random } from '@tidemark/kernel';
import type { Position, Revision, StoredEvent, StreamName, StreamPrefix } from '@tidemark/journal';
import type { Connection } from './connection.ts';
import type { Patience } from './patience.ts';
import { storedOf } from './record.ts';
import { logRequest, streamRequest } from './requests.ts';
import { Attempts } from './retrying.ts';
import type { ServerNames } from './server-names.ts';

/** Which part of a stream to read; as `ReadStream` of the port, with nothing left out. */
export interface StreamPart {
  readonly stream: StreamName;
  readonly direction: 'forward' | 'backward';
  readonly from: Revision | undefined;
  readonly limit: number;
}

/** Which part of the journal to read; as `ReadAll` of the port, with nothing left out. */
export interface LogPart {
  readonly direction: 'forward' | 'backward';
  readonly after: Position | undefined;
  readonly prefixes: readonly StreamPrefix[] | undefined;
  readonly limit: number;
}

/**
 * Reads that outlive the node they began on: what was delivered is not read again, and only failures in a row count.
 * They end with `JournalUnavailable` when those are too many.
 */
export class Reads {
  readonly #connection: Connection;
  readonly #names: ServerNames;
  readonly #patience: Patience;
  readonly #random: Random;

  constructor(connection: Connection, names: ServerNames, patience: Patience, random: Random) {
    this.#connection = connection;
    this.#names = names;
    this.#patience = patience;
    this.#random = random;
  }

  async *stream(part: StreamPart, stop?: AbortSignal): AsyncGenerator<StoredEvent, undefined> {
    const attempts = new Attempts('read', this.#patience, this.#random);
    const { answer_ms } = this.#patience;
    const forward = part.direction === 'forward';
    let { limit } = part;
    let from = part.from;
    while (limit > 0) {
      try {
        const request = streamRequest({ ...part, stream: this.#names.stream(part.stream), from, limit });
        for await (const event of this.#events(request, answer_ms, stop)) {
          attempts.succeeded();
          yield event;
          limit -= 1;
          if (!forward && event.revision === 0n) return;
          from = (forward ? event.revision + 1n : event.revision - 1n) as Revision;
        }
        return;
      } catch (error) {
        await attempts.failed(error, stop);
      }
    }
  }

  async *log(part: LogPart, stop?: AbortSignal): AsyncGenerator<StoredEvent, undefined> {
    const attempts = new Attempts('read', this.#patience, this.#random);
    const prefixes = this.#names.prefixes(part.prefixes);
    const { direction } = part;
    let { limit, after } = part;
    while (limit > 0) {
      try {
        // Forward the server begins with the event at the position itself, which was read already.
        const request = logRequest({ direction, from: after, prefixes, limit: limit + 1 });
        for await (const event of this.#events(request, this.#patience.search_ms, stop)) {
          attempts.succeeded();
          if (event.position === after) continue;
          yield event;
          after = event.position;
          limit -= 1;
          if (limit === 0) return;
        }
        return;
      } catch (error) {
        await attempts.failed(error, stop);
      }
    }
  }

  /** The position of the newest event of the prefixes, or of the journal. */
  async newest(prefixes?: readonly StreamPrefix[], stop?: AbortSignal): Promise<Position | undefined> {
    const part: LogPart = { direction: 'backward', after: undefined, prefixes, limit: 1 };
    for await (const { position } of this.log(part, stop)) return position;
    return undefined;
  }

  async *#events(
    request: Parameters<Connection['read']>[0],
    limit_ms: number,
    stop: AbortSignal | undefined,
  ): AsyncGenerator<StoredEvent> {
    const patience = { first_ms: limit_ms, next_ms: limit_ms, ...(stop === undefined ? {} : { stop }) };
    for await (const answer of this.#connection.read(request, patience)) yield* this.#eventIn(answer);
  }

  *#eventIn(answer: ReadResp): Generator<StoredEvent> {
    const event = storedOf(answer, this.#names);
    if (event !== undefined) yield event;
  }
}
