import type { Random } from '@tidemark/kernel';
import type { SignalName } from '@tidemark/signals';
import type { Due, Injection } from '@tidemark/simulator';
import type { CauseId } from '@tidemark/words';
import { oneOf, within } from './random-choice.ts';
import type { Script, ScriptName } from './scripts.ts';

/** When a fault begins: before anything is done, with the fire, while water flows, or from the story's beginning. */
type When =
  'before' | 'with-the-fire' | 'in-discharge' | 'valve-closed' | 'at-flow' | 'from-the-beginning' | 'at-any-time';

/** In which stories a fault can show itself, and from when on. */
export interface FaultSetting {
  readonly scripts: readonly ScriptName[];
  readonly when: When;
  /** Another cause without which it shows nothing. */
  readonly with?: CauseId;
  /** A step that nobody does, so that it stays as the fault has it. */
  readonly skips?: string;
  /** How long the riser is watched, s, where a limit of hours is at stake. */
  readonly watched_s?: number;
}

const trips: readonly ScriptName[] = ['fire', 'fire', 'trip-test'];
const tests: readonly ScriptName[] = ['alarm-test', 'alarm-test', 'inspection'];
const quiet: readonly ScriptName[] = ['quiet'];
const any: readonly ScriptName[] = ['fire', 'trip-test', 'alarm-test', 'quiet', 'inspection'];

const atTrip: FaultSetting = { scripts: trips, when: 'before' };
const atTest: FaultSetting = { scripts: tests, when: 'before' };
const atEither: FaultSetting = { scripts: [...trips, ...tests], when: 'before' };
const inDischarge: FaultSetting = { scripts: trips, when: 'in-discharge' };
const inQuiet: FaultSetting = { scripts: quiet, when: 'before' };
const troubled: FaultSetting = { scripts: quiet, when: 'before', watched_s: 5.5 * 3_600 };

/** By cause, or by its row where its rows differ (MODEL 4's phases Q, D, R and T). */
const settings: Readonly<Partial<Record<string, FaultSetting>>> = {
  'supply-switch-stuck-active': inQuiet,
  'supply-switch-vibrating': inQuiet,
  'supply-static-low': { scripts: ['quiet', 'fire'], when: 'before' },
  'supply-dip': inQuiet,
  'supply-surge': inQuiet,
  'prime-check-leaking': { ...inQuiet, with: 'supply-dip' },
  P2: inQuiet,
  P3: { scripts: trips, when: 'valve-closed' },
  P11: inQuiet,
  P12: inQuiet,
  P13: inQuiet,
  P15: { scripts: ['quiet', 'fire'], when: 'before' },
  'solenoid-stuck-open': inDischarge,
  'solenoid-leaking': inQuiet,
  'manual-release-operated': inQuiet,
  'manual-release-leaking': inQuiet,
  'manual-release-left-open': { scripts: trips, when: 'valve-closed' },
  'relief-stuck-open': inDischarge,
  'valve-hung-open': inDischarge,
  'seat-weeping': inQuiet,
  'drip-plugged': inQuiet,
  V8: { scripts: ['quiet', 'fire'], when: 'before' },
  A3: { scripts: trips, when: 'at-flow' },
  'bleed-hole-plugged': atEither,
  'bleed-hole-oversize': atEither,
  'alarm-line-isolated': atEither,
  'drain-check-leaking': atTest,
  A10: atTest,
  A11: inQuiet,
  'alarm-test-valve-left-open': { scripts: ['alarm-test'], when: 'at-flow', skips: 'close-alarm-test' },
  'flow-switch-stuck-normal': atEither,
  'flow-switch-stuck-active': { scripts: ['quiet', 'fire'], when: 'before' },
  'flow-switch-set-high': atEither,
  'flow-switch-reset-low': atEither,
  'flow-switch-chatter': { scripts: ['fire'], when: 'before' },
  'release-wiring-fault': troubled,
  'initiating-device-stuck': { scripts: ['fire'], when: 'with-the-fire' },
  'initiating-device-dead': { scripts: ['trip-test'], when: 'before' },
  'initiating-circuit-open': troubled,
  C4: { scripts: ['quiet', 'fire'], when: 'before', watched_s: 2.8 * 3_600 },
  'supervisory-latching': { scripts: trips, when: 'from-the-beginning' },
  'points-swapped': { scripts: trips, when: 'from-the-beginning' },
  'panel-power-lost': troubled,
  'link-lost': { scripts: any, when: 'at-any-time' },
  'link-stored-signals': { scripts: any, when: 'at-any-time' },
  'link-duplicates': { scripts: any, when: 'before' },
  'link-reordered': { scripts: trips, when: 'before' },
  'clock-offset': { scripts: any, when: 'from-the-beginning' },
  'clock-drift': { scripts: any, when: 'from-the-beginning' },
  'restorals-not-sent': { scripts: [...trips, 'alarm-test'], when: 'before' },
  'repeats-suppressed': { ...inQuiet, with: 'supply-switch-vibrating' },
};

/** The setting of an injection. People's mistakes are made where their procedure is. */
export function settingOf({ apply, cause, row, size, where }: Injection): FaultSetting {
  if (where === 'crew') {
    const injected = apply(size?.usual ?? 1);
    const devices = injected.where === 'crew' && injected.procedure === 'devicesTest';
    return {
      scripts: [devices ? 'devices-test' : 'fire'],
      when: 'with-the-fire',
      watched_s: devices ? 3.5 * 3_600 : 0,
    };
  }
  return settings[row] ?? settings[cause] ?? atTrip;
}

/** Points without which a cause is nothing to be seen. */
export const pointsFor = (cause: CauseId): readonly SignalName[] => {
  if (cause === 'release-left-disabled') return ['release-disconnect'];
  if (cause.startsWith('supply-switch') || cause === 'supervisory-latching') return ['supply-valve'];
  if (cause.startsWith('prime')) return ['prime-pressure-low', 'solenoid'];
  if (cause.startsWith('solenoid') || cause.startsWith('release')) return ['solenoid', 'prime-pressure-low'];
  if (cause === 'points-swapped') return ['prime-pressure-low', 'solenoid', 'supply-valve'];
  return [];
};

/** When a fault begins in a script. */
export function dueOf(when: When, { action_s, length_s }: Script, random: Random): Due {
  const latest_s = action_s + 1_800;
  switch (when) {
    case 'from-the-beginning':
      return { at_s: 0 };
    case 'before':
      return { at_s: Math.round(within(random, 120, action_s - 60)) };
    case 'with-the-fire':
      return { at_s: action_s };
    case 'at-any-time':
      return {
        at_s: Math.round(
          oneOf(random, [
            within(random, 60, action_s),
            within(random, action_s - 10, action_s + 600),
            within(random, 60, length_s / 2),
          ]),
        ),
      };
    case 'in-discharge':
      return {
        awaits: { signal: 'waterflow', said: 'active' },
        wait_s: Math.round(within(random, 30, 90)),
        atMost_s: latest_s,
      };
    case 'at-flow':
      return {
        awaits: { signal: 'waterflow', said: 'active' },
        wait_s: Math.round(within(random, 20, 60)),
        atMost_s: latest_s,
      };
    case 'valve-closed':
      return {
        awaits: { signal: 'supply-valve', said: 'active' },
        wait_s: Math.round(within(random, 5, 30)),
        atMost_s: length_s / 2,
      };
  }
}
