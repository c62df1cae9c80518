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
export const severities = ['critical', 'high', 'advisory'] as const;

/** How soon a person must act. */
export type Severity = (typeof severities)[number];
