import type { Instant } from '@tidemark/kernel';
import type { RejectionReason } from '@tidemark/signals';

/** A message as one of the doors took it, before anybody read it. */
export interface Arrival {
  readonly topic: string;
  readonly payload: Uint8Array;
  readonly contentType?: string;
  readonly receivedAt: Instant;
  /** How much of the payload's tail the door left out, because the message was larger than it takes. */
  readonly omitted_bytes: number;
}

/** What became of a message. Whichever it is, it is in the journal. */
export type Verdict =
  | { readonly type: 'recorded' }
  /** The signal was there already; that it came again is recorded. */
  | { readonly type: 'repeated' }
  /** It could not be read and is in quarantine. */
  | { readonly type: 'rejected'; readonly reason: RejectionReason };
