import type { Instant, Result } from '@tidemark/kernel';
import type { Appended, EncodedAppend, Position, WrongExpectedRevision } from '@tidemark/journal';

/** Something to write with the next commit. */
export type Request =
  | { readonly type: 'append'; readonly append: EncodedAppend }
  | { readonly type: 'checkpoint'; readonly name: string; readonly position: Position };

/** What is written with one commit, and the time it is stamped with. */
export interface Group {
  readonly requests: readonly Request[];
  readonly now: Instant;
}

/** What became of a request; nothing to say about a checkpoint. */
export type Answer = Result<Appended, WrongExpectedRevision> | undefined;

/** Makes groups durable, one after the other: the next is given when the one before is answered. */
export interface GroupWriter {
  /** Resolves once all of it is durable, with an answer for each request. When it rejects, nothing was recorded for certain. */
  commit(group: Group): Promise<readonly Answer[]>;
  close(): Promise<void>;
}
