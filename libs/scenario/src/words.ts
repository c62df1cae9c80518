import type { FindingCode } from '@tidemark/reasoning';
import type { Phase } from '@tidemark/riser';

/**
 * The codes and phases an expectation may name. Written out, and held to the full unions by the compiler, because
 * the simulator reads scenarios too and must share no running code with the reasoning that judges it.
 */
const codes: Readonly<Record<FindingCode, true>> = {
  'flow-with-supply-closed': true,
  'reset-before-clear': true,
  're-alarm-after-reset': true,
  'release-without-flow': true,
  'release-while-isolated': true,
  'flow-without-release': true,
  'alarm-without-release': true,
  'release-without-alarm': true,
  'release-disabled': true,
  'prime-low-before-trip': true,
  'prime-not-restored': true,
  'solenoid-not-released': true,
  'supply-left-closed': true,
  'supervisory-missing': true,
  'supervisory-not-restored': true,
  'flow-not-restored': true,
  'alarm-test-without-flow': true,
  'incomplete-restoration': true,
  chattering: true,
  'stale-link': true,
  'sequence-gap': true,
  'out-of-order': true,
  'clock-skew': true,
  'trouble-unattended': true,
  'impairment-overdue': true,
  'early-signal': true,
  'late-signal': true,
  'silent-point': true,
  'points-swapped': true,
  'unknown-point': true,
};

const phases: Readonly<Record<Phase, true>> = {
  'in-service': true,
  alarm: true,
  released: true,
  flowing: true,
  'shutting-down': true,
  drained: true,
  resetting: true,
  priming: true,
  reopening: true,
  'alarm-test': true,
  impaired: true,
  unknown: true,
};

/** Every finding code, in the order of CONTRACT 5.3. */
export const findingCodes = Object.keys(codes) as readonly FindingCode[];

/** Every phase, in the order of CONTRACT 4. */
export const phaseNames = Object.keys(phases) as readonly Phase[];
