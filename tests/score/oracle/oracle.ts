import type { Instant } from '@tidemark/kernel';
import { findingCodes } from '@tidemark/words';
import type { FindingCode } from '@tidemark/words';
import { earlySignal, lateSignal, pointsSwapped, silentPoint } from './cascade-codes.ts';
import { Case } from './case.ts';
import type { Occurrence } from './case.ts';
import { alarmTestWithoutFlow, flowNotRestored, flowWithSupplyClosed } from './flow-codes.ts';
import type { HeardStory } from './heard-story.ts';
import { clockSkew, looksLikeClock, outOfOrder, sequenceGap, staleLink } from './link-codes.ts';
import {
  chattering,
  impairmentOverdue,
  reAlarmAfterReset,
  resetBeforeClear,
  troubleUnattended,
  unknownPoint,
} from './panel-codes.ts';
import { primeLowBeforeTrip, primeNotRestored, solenoidNotReleased } from './priming-codes.ts';
import {
  alarmWithoutRelease,
  flowWithoutRelease,
  releaseDisabled,
  releaseWhileIsolated,
  releaseWithoutAlarm,
  releaseWithoutFlow,
} from './release-codes.ts';
import {
  incompleteRestoration,
  supervisoryMissing,
  supervisoryNotRestored,
  supplyLeftClosed,
} from './restoration-codes.ts';

/** A code that a log makes true, and when it must be raised. */
export interface Met {
  readonly code: FindingCode;
  readonly from: Instant;
  readonly to: Instant;
}

/** What the contract says of a log: what must be raised, and what it leaves open. */
export interface Judgement {
  readonly meets: readonly Met[];
  readonly may: readonly FindingCode[];
}

/** When each code of CONTRACT 5.3 holds in a log: a second reading of the contract, with hindsight and nothing of libs/reasoning. */
const readings: Readonly<Record<FindingCode, (given: Case) => readonly Occurrence[]>> = {
  'flow-with-supply-closed': flowWithSupplyClosed,
  'reset-before-clear': resetBeforeClear,
  're-alarm-after-reset': reAlarmAfterReset,
  'release-without-flow': releaseWithoutFlow,
  'release-while-isolated': releaseWhileIsolated,
  'flow-without-release': flowWithoutRelease,
  'alarm-without-release': alarmWithoutRelease,
  'release-without-alarm': releaseWithoutAlarm,
  'release-disabled': releaseDisabled,
  'prime-low-before-trip': primeLowBeforeTrip,
  'prime-not-restored': primeNotRestored,
  'solenoid-not-released': solenoidNotReleased,
  'supply-left-closed': supplyLeftClosed,
  'supervisory-missing': supervisoryMissing,
  'supervisory-not-restored': supervisoryNotRestored,
  'flow-not-restored': flowNotRestored,
  'alarm-test-without-flow': alarmTestWithoutFlow,
  'incomplete-restoration': incompleteRestoration,
  chattering,
  'stale-link': staleLink,
  'sequence-gap': sequenceGap,
  'out-of-order': outOfOrder,
  'clock-skew': clockSkew,
  'trouble-unattended': troubleUnattended,
  'impairment-overdue': impairmentOverdue,
  'early-signal': earlySignal,
  'late-signal': lateSignal,
  'silent-point': silentPoint,
  'points-swapped': pointsSwapped,
  'unknown-point': unknownPoint,
};

/** What swapped names may raise before the swap is told, and what it then clears (CONTRACT 5.4). */
const ofSwappedNames: readonly FindingCode[] = [
  'flow-with-supply-closed',
  'reset-before-clear',
  're-alarm-after-reset',
  'release-without-flow',
  'flow-without-release',
  'prime-low-before-trip',
  'prime-not-restored',
  'supervisory-missing',
  'flow-not-restored',
  'incomplete-restoration',
  'early-signal',
  'late-signal',
  'silent-point',
];

/**
 * Judges a log. A code that holds must be raised the first time; that it is raised again when it holds again depends on
 * whether it was cleared in between, so the other times are open. So is everything after a time that is itself open.
 * Where a slow line looks like a clock that is behind, only what holds by both readings must be raised.
 */
export function judge(story: HeardStory): Judgement {
  const judged = judgedInPlace(story);
  if (!looksLikeClock(new Case(story))) return judged;
  const signals = story.signals.map((each) => ({ ...each, at: each.received }));
  const other = judgedInPlace({ ...story, signals: signals.toSorted((one, two) => one.at - two.at) });
  const both = judged.meets.filter(({ code }) => other.meets.some((each) => each.code === code));
  const all = [...judged.meets, ...other.meets].map(({ code }) => code);
  const open = all.filter((code) => !both.some((each) => each.code === code));
  return { meets: both, may: [...new Set([...judged.may, ...other.may, ...open])] };
}

function judgedInPlace(story: HeardStory): Judgement {
  const given = new Case(story);
  const swapped = pointsSwapped(given).length > 0;
  const all = findingCodes.map((code) => {
    const times = readings[code](given)
      .filter(({ from }) => from <= story.until)
      .toSorted((one, other) => one.from - other.from);
    return { code, times, isOpen: swapped && ofSwappedNames.includes(code) };
  });
  return {
    meets: all.flatMap(({ code, isOpen, times: [first] }) =>
      first?.sure === true && !isOpen && first.to <= story.until ? [{ code, from: first.from, to: first.to }] : [],
    ),
    may: all.flatMap(({ code, isOpen, times: [first, ...others] }) => {
      const met = first?.sure === true && first.to <= story.until;
      return isOpen || others.length > 0 || (first !== undefined && !met) ? [code] : [];
    }),
  };
}
