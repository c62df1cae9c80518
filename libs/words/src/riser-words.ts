/** What a riser is doing, as far as its signals tell (CONTRACT 4). */
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

/** The steps that return a riser to service (CONTRACT 6), in the order of advice. */
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
