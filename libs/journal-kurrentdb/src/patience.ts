import type { Backoff } from '@tidemark/kernel';

/** How long the adapter waits for a server, and how often it tries again. All choices of this project. */
export interface Patience {
  /** For the answer to an append or a read of one stream, and for a subscription's confirmation. */
  readonly answer_ms: number;
  /** Between two messages of a read of the whole log, which the server may have to search for a long time. */
  readonly search_ms: number;
  /** After so much silence a live subscription looks whether it was forgotten. */
  readonly probe_ms: number;
  /** How often one thing is tried before the journal counts as unavailable. */
  readonly attempts: number;
  /** How often an append may find that someone else was faster. */
  readonly conflicts: number;
  readonly backoff: Backoff;
}

/** Outlasts an election: eight attempts take six seconds and more even when each is refused at once. */
export const defaultPatience: Patience = {
  answer_ms: 5_000,
  search_ms: 60_000,
  probe_ms: 15_000,
  attempts: 8,
  conflicts: 50,
  backoff: { first_ms: 100, longest_ms: 2_000 },
};
