import type { FindingCode } from '@tidemark/words';
import type { Condition } from '../condition.ts';
import type { Variable } from './variables.ts';

/** The symptom that a finding stands for: its variable, and the value where the observation itself may not say it. */
export interface Symptom {
  readonly variable: Variable;
  readonly value?: string;
  /** What it shows in where the variable was not observed. */
  readonly otherwise?: Variable;
}

const byCode: Readonly<Record<FindingCode, (condition: Condition) => Symptom | undefined>> = {
  'flow-with-supply-closed': ({ variant }) =>
    variant === 'outlasts'
      ? { variable: 'drainDown', value: 'lasting' }
      : { variable: 'waterWhileClosed', value: variant === 'after-reset' ? 'begins-after-reset' : 'begins' },
  'reset-before-clear': () => ({ variable: 'resetFound' }),
  're-alarm-after-reset': () => ({ variable: 'reAlarm' }),
  'release-without-flow': () => ({ variable: 'tripFlow', value: 'lacking' }),
  'release-while-isolated': () => ({ variable: 'isolated', value: 'yes' }),
  'flow-without-release': () => ({ variable: 'selfTrip', otherwise: 'reopening' }),
  'alarm-without-release': () => ({ variable: 'release', value: 'lacking' }),
  'release-without-alarm': () => ({ variable: 'release', value: 'unasked' }),
  'release-disabled': () => ({ variable: 'disconnect', value: 'on' }),
  'prime-low-before-trip': () => ({ variable: 'selfTrip' }),
  'prime-not-restored': () => ({ variable: 'refill', value: 'lacking' }),
  'solenoid-not-released': () => ({ variable: 'releaseAfterReset', value: 'stays' }),
  'supply-left-closed': () => ({ variable: 'reopened', value: 'missing' }),
  'supervisory-missing': () => ({ variable: 'closing', value: 'missing' }),
  'supervisory-not-restored': () => ({ variable: 'reopened', value: 'missing' }),
  'flow-not-restored': ({ variant }) => ({
    variable: variant === 'test' ? 'testEnd' : 'drainDown',
    value: 'lasting',
  }),
  'alarm-test-without-flow': () => ({ variable: 'testFlow', value: 'lacking' }),
  'incomplete-restoration': () => ({ variable: 'steps', value: 'open' }),
  chattering: () => ({ variable: 'chatter' }),
  'stale-link': () => ({ variable: 'path', value: 'silent' }),
  'sequence-gap': () => ({ variable: 'path', value: 'gaps' }),
  'out-of-order': () => ({ variable: 'path', value: 'disorder' }),
  'clock-skew': () => ({ variable: 'clock', value: 'wrong' }),
  'trouble-unattended': ({ variant }) =>
    variant === 'ac-power' || variant === 'battery'
      ? { variable: 'power' }
      : variant === 'initiating-circuit'
        ? { variable: 'initiatingCircuit' }
        : variant === 'release-circuit'
          ? { variable: 'releaseCircuit' }
          : undefined,
  'impairment-overdue': () => undefined,
  'early-signal': ({ variant }) =>
    variant === 'waterflow'
      ? { variable: 'tripFlow', value: 'early' }
      : variant === 'return of priming pressure'
        ? { variable: 'refill', value: 'early' }
        : undefined,
  'late-signal': ({ variant }) =>
    variant === 'waterflow'
      ? { variable: 'tripFlow' }
      : variant === 'return of priming pressure'
        ? { variable: 'refill', value: 'late' }
        : variant === 'release'
          ? { variable: 'release', value: 'late' }
          : { variable: 'tripPrime', value: 'falls-late' },
  'silent-point': ({ variant }) =>
    variant === 'prime' ? { variable: 'tripPrime', value: 'holds' } : { variable: 'release', value: 'unreported' },
  'points-swapped': () => ({ variable: 'names', value: 'permuted' }),
  // A list that differs is no fault of the riser's; nothing seen here says which of the two is wrong.
  'unknown-point': () => undefined,
};

/** The symptom a condition stands for; none where its code claims no cause. */
export const symptomOf = (condition: Condition): Symptom | undefined => byCode[condition.code](condition);
