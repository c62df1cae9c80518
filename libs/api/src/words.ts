/** What a riser is doing, as far as its signals tell. */
export const phases = [
  'in-service',
  'alarm',
  'released',
  'flowing',
  'shutting-down',
  'drained',
  'resetting',
  'priming',
  'reopening',
  'alarm-test',
  'impaired',
  'unknown',
] as const;

/** What a riser is doing. */
export type Phase = (typeof phases)[number];

/** How soon a person is needed, most urgent first; `none` needs nobody. */
export const urgencies = ['now', 'soon', 'when-convenient', 'none'] as const;

/** How soon a person is needed. */
export type Urgency = (typeof urgencies)[number];

/** How serious a finding is: act now, soon, when convenient. */
export const severities = ['critical', 'high', 'advisory'] as const;

/** How serious a finding is. */
export type Severity = (typeof severities)[number];

/** The alert's own state after ISA-18.2 / IEC 62682, apart from the condition it tells of. */
export const alertStates = [
  'unacknowledged',
  'acknowledged',
  'returned-unacknowledged',
  'normal',
  'shelved',
  'out-of-service',
] as const;

/** Every code a finding may have. The list is closed. */
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

/** The parts of a riser whose position is inferred, never reported as such. */
export const hiddenElements = [
  'supply-valve',
  'clapper',
  'solenoid',
  'prime-chamber',
  'prime-valve',
  'alarm-line',
  'drains',
] as const;

/** A part of a riser whose position is inferred. */
export type HiddenElement = (typeof hiddenElements)[number];

/** The steps that return a riser to service, in the order of advice. */
export const restorationSteps = [
  'supply-valve-shut',
  'water-stopped',
  'low-points-drained',
  'initiating-device-restored',
  'panel-reset',
  'solenoid-at-rest',
  'valve-reset-by-hand',
  'prime-pressure-back',
  'drains-closed',
  'supply-valve-open',
  'supervisory-cleared',
  'supply-proven',
  'final-reset',
  'no-signal-remains',
  'alarm-line-proven',
] as const;

/** The id of a restoration step. */
export type RestorationStepId = (typeof restorationSteps)[number];

/** Every signal of the vocabulary. */
export const signalNames = [
  'manual-pull',
  'heat',
  'smoke',
  'flame',
  'initiating',
  'waterflow',
  'supply-valve',
  'prime-valve',
  'alarm-line-valve',
  'prime-pressure-low',
  'supply-pressure-low',
  'pilot-air-low',
  'low-temperature',
  'release-disconnect',
  'release-circuit',
  'initiating-circuit',
  'ac-power',
  'battery',
  'earth-fault',
  'panel-fault',
  'communication',
  'solenoid',
  'panel-alarm',
  'panel-supervisory',
  'panel-trouble',
  'silence',
  'reset',
  'test-mode',
  'periodic-test',
  'prime-pressure',
  'supply-pressure',
  'system-pressure',
  'flow',
] as const;

/** The name of a signal. */
export type SignalName = (typeof signalNames)[number];

/** Why a message went to quarantine. */
export const quarantineReasons = [
  'foreign-topic',
  'wrong-channel',
  'unknown-riser',
  'unsupported-content-type',
  'binary-mode',
  'empty-payload',
  'too-large',
  'not-utf8',
  'not-json',
  'duplicate-key',
  'too-deep',
  'not-a-cloud-event',
  'unsupported-type',
  'unknown-signal',
  'malformed-data',
  'malformed-link',
  'wrong-account',
  'wrong-riser',
  'malformed-contact-id',
  'wrong-checksum',
  'code-not-mapped',
] as const;
