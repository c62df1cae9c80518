import type { BatchAppendResp } from '@eventstore/db-client/generated/streams_pb.js';
import type { Position, Revision } from '@tidemark/journal';
import type { AppendCall, Connection } from './connection.ts';
import { AnswerOverdue, AppendRefused, CallEnded } from './faults.ts';
import type { Proposal } from './requests.ts';
import { appendRequest } from './requests.ts';
import { within } from './within.ts';

/** What the server recorded. */
export interface ServerAppended {
  /** The stream's revision after the last of the events. */
  readonly revision: Revision;
  /** Where the last of them stands, as far as the server says. */
  readonly position: Position | undefined;
}

/**
 * Appends over one call, which the server works off in the order in which they were written to it, so the log keeps
 * the order of our calls across streams. When the call fails, so does every append that waits on it, each at once; the
 * next one opens another.
 */
export class BatchAppends {
  readonly #connection: Connection;
  readonly #answer_ms: number;
  #line: Promise<Line> | undefined;

  constructor(connection: Connection, answer_ms: number) {
    this.#connection = connection;
    this.#answer_ms = answer_ms;
  }

  /** Resolves with the server's answer. Rejects with `AppendRefused`, `AnswerOverdue`, or whatever ended the call. */
  async append(proposal: Proposal): Promise<ServerAppended> {
    const opening = this.#line ?? this.#open();
    try {
      return appendedOf(
        await within(
          opening.then((line) => line.ask(proposal)),
          this.#answer_ms,
        ),
      );
    } catch (error) {
      if (error instanceof AnswerOverdue) {
        this.#forget(opening);
        opening.then((line) => this.#connection.abandon(line.call, error)).catch(() => undefined);
      }
      throw error;
    }
  }

  #open(): Promise<Line> {
    const opening = this.#connection.openAppends().then((call) => new Line(call));
    const forget = (): void => this.#forget(opening);
    opening.then((line) => line.ended.then(forget), forget);
    this.#line = opening;
    return opening;
  }

  #forget(opening: Promise<Line>): void {
    if (this.#line === opening) this.#line = undefined;
  }
}

interface Asking {
  readonly resolve: (answer: BatchAppendResp) => void;
  readonly reject: (error: Error) => void;
}

/** One call and the appends that wait on it. */
class Line {
  readonly call: AppendCall;
  readonly ended: Promise<void>;
  readonly #waiting = new Map<string, Asking>();
  #failure: Error | undefined;

  constructor(call: AppendCall) {
    this.call = call;
    this.ended = new Promise((resolve) => {
      const end = (error: Error): void => {
        this.#failure ??= error;
        for (const { reject } of this.#waiting.values()) reject(this.#failure);
        this.#waiting.clear();
        resolve();
      };
      call.on('error', end);
      call.on('end', () => end(new CallEnded('append')));
      call.on('close', () => end(new CallEnded('append')));
    });
    call.on('data', (answer: BatchAppendResp) => this.#take(answer));
  }

  ask(proposal: Proposal): Promise<BatchAppendResp> {
    const request = appendRequest(proposal);
    return new Promise((resolve, reject) => {
      if (this.#failure !== undefined) {
        reject(this.#failure);
        return;
      }
      this.#waiting.set(request.getCorrelationId()?.getString() ?? '', { resolve, reject });
      // How much waits to be sent is limited by who asks (append-queue.ts), so the stream's own limit is not waited for.
      this.call.write(request);
    });
  }

  #take(answer: BatchAppendResp): void {
    const id = answer.getCorrelationId()?.getString() ?? '';
    this.#waiting.get(id)?.resolve(answer);
    this.#waiting.delete(id);
  }
}

function appendedOf(answer: BatchAppendResp): ServerAppended {
  const success = answer.getSuccess();
  if (success !== undefined) {
    const position = success.getPosition()?.getCommitPosition();
    return {
      revision: BigInt(success.getCurrentRevision()) as Revision,
      position: position === undefined ? undefined : (BigInt(position) as Position),
    };
  }
  const error = answer.getError();
  const type = error?.getDetails()?.getTypeName().split('.').at(-1) ?? 'Unknown';
  throw new AppendRefused(type, error?.getMessage() ?? '');
}
