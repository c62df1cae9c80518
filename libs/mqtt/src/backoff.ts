import type { Backoff } from '@tidemark/kernel';

/** Choice of this project: back within a second of a broker's restart, and no storm on one that stays away. */
export const defaultBackoff: Backoff = { first_ms: 250, longest_ms: 15_000 };
