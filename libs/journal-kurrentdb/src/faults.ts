/** The server did not answer in time. What was asked may still happen. */
export class AnswerOverdue extends Error {
  override readonly name = 'AnswerOverdue';
  readonly code = 'answer-overdue';

  constructor(limit_ms: number) {
    super(`the server did not answer within ${limit_ms} ms`);
  }
}

/** The reader, or the journal, was told to stop while it waited. */
export class Stopped extends Error {
  override readonly name = 'Stopped';
  readonly code = 'stopped';

  constructor() {
    super('stopped while waiting');
  }
}

/** The server ended a call that was to go on, without saying why. */
export class CallEnded extends Error {
  override readonly name = 'CallEnded';
  readonly code = 'call-ended';

  constructor(call: 'append' | 'subscription') {
    super(`the server ended the ${call}`);
  }
}

/** Why the server refused an append, in the words of its protocol. */
export class AppendRefused extends Error {
  override readonly name = 'AppendRefused';
  readonly code = 'append-refused';
  /** The server's type of the refusal without its package, e.g. `WrongExpectedVersion`. */
  readonly refusal: string;

  constructor(refusal: string, detail: string) {
    super(detail === '' ? `the server refused the append: ${refusal}` : `the server refused the append: ${detail}`);
    this.refusal = refusal;
  }
}

/** Others write to the stream so fast that this writer never finds it as it expects. Nothing was recorded. */
export class StreamContended extends Error {
  override readonly name = 'StreamContended';
  readonly code = 'stream-contended';

  constructor(stream: string, conflicts: number) {
    super(`${stream} changed ${conflicts} times under an append`);
  }
}

/** The stream holds something this journal did not write, or its history was cut by an operator of the server. */
export class ForeignHistory extends Error {
  override readonly name = 'ForeignHistory';
  readonly code = 'foreign-history';

  constructor(stream: string, revision: bigint, found: string) {
    super(`${stream} at revision ${String(revision)}: ${found}`);
  }
}

/** More appends wait for the server than the queue takes; they arrive faster than it keeps up. */
export class AppendQueueFull extends Error {
  override readonly name = 'AppendQueueFull';
  readonly code = 'append-queue-full';

  constructor(limit: string) {
    super(`the append queue is full: ${limit}`);
  }
}

/** The address of the server cannot be used. */
export class UnusableServerUrl extends Error {
  override readonly name = 'UnusableServerUrl';
  readonly code = 'unusable-server-url';

  /** The address is left out of the text, since it may hold a password. */
  constructor(reason: string) {
    super(`the server's address cannot be used: ${reason}`);
  }
}
