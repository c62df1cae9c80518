import type { Writable } from 'node:stream';
import type { Instant } from '@tidemark/kernel';

/** Where a command speaks, and what it is told from outside. */
export interface Terminal {
  /** What was asked for, and nothing else. */
  readonly out: Writable & { readonly isTTY?: boolean };
  /** Progress, remarks and mistakes. */
  readonly err: Writable & { readonly isTTY?: boolean };
  readonly environment: Readonly<Record<string, string | undefined>>;
  /** The machine's clock. */
  readonly now: () => Instant;
  /** Aborted when the user has enough (Ctrl-C); what was begun is then ended cleanly. */
  readonly stop: AbortSignal;
}
