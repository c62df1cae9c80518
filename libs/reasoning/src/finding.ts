import type { Instant } from '@tidemark/kernel';
import type { EventReference } from '@tidemark/riser';
import type { AlertState, CauseId, FindingCode, Severity } from '@tidemark/words';

/** A group of causes that the signals so far cannot tell apart, and the one check that would settle it. */
export interface CauseGroup {
  readonly causes: readonly CauseId[];
  readonly probability: number;
  readonly check: string;
}

/** What a rule claims about a riser, with its evidence (CONTRACT 5). */
export interface Finding {
  readonly id: string;
  readonly code: FindingCode;
  /** `account/riser`. */
  readonly riser: string;
  readonly severity: Severity;
  readonly status: 'raised' | 'updated' | 'cleared';
  readonly alertState: AlertState;
  /** When this message became true, on the station's clock. */
  readonly at: Instant;
  readonly raisedAt: Instant;
  readonly clearedAt?: Instant;
  /** When the expected signal should have come, on the panel's clock. */
  readonly window?: { readonly from: Instant; readonly to: Instant };
  readonly evidence: readonly EventReference[];
  readonly explanation: string;
  readonly causes: readonly CauseGroup[];
  readonly advice: string;
  readonly caution: string;
}
