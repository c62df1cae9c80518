import type {
  FindingCode,
  HiddenElement,
  Phase,
  PointState,
  RestorationStep,
  Severity,
  SignalName,
  Urgency,
} from '@tidemark/api';

/** What a riser is doing, in words. */
export const phaseWords: Readonly<Record<Phase, string>> = {
  'in-service': 'in service',
  alarm: 'in alarm, no release seen',
  released: 'released, no water reported',
  flowing: 'water flowing',
  'shutting-down': 'shutting down',
  drained: 'alarm line drained',
  resetting: 'resetting',
  priming: 'priming',
  reopening: 'reopening',
  'alarm-test': 'alarm test',
  impaired: 'out of service',
  unknown: 'not known',
};

/** How soon, in words. */
export const urgencyWords: Readonly<Record<Urgency, string>> = {
  now: 'act now',
  soon: 'soon',
  'when-convenient': 'when convenient',
  none: 'nothing to do',
};

/** How serious, in words. */
export const severityWords: Readonly<Record<Severity, string>> = {
  critical: 'act now',
  high: 'soon',
  advisory: 'when convenient',
};

/** What a point says, in words. */
export const pointWords: Readonly<Record<PointState['state'], string>> = {
  active: 'active',
  restored: 'restored',
  'never-seen': 'never heard',
  'not-known': 'not known',
};

/** How a step stands, in words. */
export const stepWords: Readonly<Record<RestorationStep['status'], string>> = {
  proven: 'proven',
  contradicted: 'contradicted',
  waiting: 'waiting',
  'cannot-be-seen': 'cannot be seen from here',
};

/** The hidden parts, in words. */
export const elementWords: Readonly<Record<HiddenElement, string>> = {
  'supply-valve': 'Supply valve',
  clapper: 'Deluge valve',
  solenoid: 'Solenoid',
  'prime-chamber': 'Priming chamber',
  'prime-valve': 'Priming valve',
  'alarm-line': 'Alarm line',
  drains: 'Drains',
};

/** A signal's name where its point has no label. */
export const signalWords = (signal: string): string => {
  const text = signal.replaceAll('-', ' ');
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}`;
};

/** Which signal the window of a code waits for, and what should happen in it. */
export const windowWords: Partial<
  Readonly<Record<FindingCode, { readonly signal: SignalName; readonly should: string }>>
> = {
  'flow-with-supply-closed': { signal: 'waterflow', should: 'should stop here' },
  'release-without-flow': { signal: 'waterflow', should: 'should start here' },
  'alarm-without-release': { signal: 'solenoid', should: 'should act here' },
  'prime-not-restored': { signal: 'prime-pressure-low', should: 'should return here' },
  'solenoid-not-released': { signal: 'solenoid', should: 'should rest here' },
  'supervisory-missing': { signal: 'supply-valve', should: 'should report here' },
  'flow-not-restored': { signal: 'waterflow', should: 'should bleed down here' },
  'alarm-test-without-flow': { signal: 'waterflow', should: 'should start here' },
  'early-signal': { signal: 'waterflow', should: 'was expected here' },
  'late-signal': { signal: 'waterflow', should: 'was expected here' },
};
