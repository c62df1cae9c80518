/** Another process, or another journal of this one, has the file open for writing. */
export class JournalInUse extends Error {
  override readonly name = 'JournalInUse';
  readonly code = 'journal-in-use';

  constructor(path: string, cause: unknown) {
    super(`${path} is already open for writing; only one process writes a journal, any number may read it`, { cause });
  }
}

/** The file is no journal, or one of a version that this build does not know. Nothing in it was touched. */
export class UnknownJournalFormat extends Error {
  override readonly name = 'UnknownJournalFormat';
  readonly code = 'unknown-journal-format';

  constructor(path: string, found: string) {
    super(`${path} is not a journal this build can open: ${found}`);
  }
}

/** More appends wait to be committed than the queue takes; they arrive faster than the disk keeps up. */
export class CommitQueueFull extends Error {
  override readonly name = 'CommitQueueFull';
  readonly code = 'commit-queue-full';

  constructor(limit: string) {
    super(`the commit queue is full: ${limit}`);
  }
}

/** The thread that writes the journal ended on its own. What it was writing is durable or was never written; a new one is started for the next commit. */
export class WriterThreadEnded extends Error {
  override readonly name = 'WriterThreadEnded';
  readonly code = 'writer-thread-ended';

  constructor(detail: string, cause?: unknown) {
    super(`the thread that writes the journal ended: ${detail}`, { cause });
  }
}

/** What SQLite said on the thread that writes, carried over to this one. */
export class WriterFault extends Error {
  override readonly name = 'WriterFault';
  /** SQLite's own, e.g. `SQLITE_FULL`. */
  readonly code: string;

  constructor(code: string, message: string) {
    super(message);
    this.code = code;
  }
}
