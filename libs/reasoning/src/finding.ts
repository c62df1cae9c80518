import type { AlertState } from '@tidemark/alerting';
import type { Instant } from '@tidemark/kernel';
import type { EventReference } from '@tidemark/riser';
import type { CauseId } from './causes.ts';

/** Every code of CONTRACT 5.3. The list is closed. */
export const findingCodes = [
  'flow-with-supply-closed',
  'reset-before-clear',
  're-alarm-after-reset',
  'release-without-flow',
  'release-while-isolated',
  'flow-without-release',
  'alarm-without-release',
  'release-without-alarm',
  'release-disabled',
  'prime-low-before-trip',
  'prime-not-restored',
  'solenoid-not-released',
  'supply-left-closed',
  'supervisory-missing',
  'supervisory-not-restored',
  'flow-not-restored',
  'alarm-test-without-flow',
  'incomplete-restoration',
  'chattering',
  'stale-link',
  'sequence-gap',
  'out-of-order',
  'clock-skew',
  'trouble-unattended',
  'impairment-overdue',
  'early-signal',
  'late-signal',
  'silent-point',
  'points-swapped',
  'unknown-point',
] as const;

/** The code of a finding. */
export type FindingCode = (typeof findingCodes)[number];

/** How soon a person must act: now, soon, when convenient. */
export type Severity = 'critical' | 'high' | 'advisory';

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
