import type { Backoff } from '@tidemark/kernel';

/** Choice of this project: a busy disk is asked again at once, a dead one four times a minute. */
export const defaultBackoff: Backoff = { first_ms: 50, longest_ms: 15_000 };
