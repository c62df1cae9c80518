import type { Condition, Rule } from '../condition.ts';
import type { Facts } from '../facts.ts';
import type { FindingCode } from '@tidemark/words';
import { alarmTestWithoutFlow, flowNotRestored } from './alarm-test.ts';
import { earlyOrLate } from './cascade.ts';
import { flowWithSupplyClosed } from './flow-with-supply-closed.ts';
import { incompleteRestoration } from './incomplete-restoration.ts';
import { clockSkew, sequenceGap, staleLink, unknownPoint } from './link.ts';
import { pointsSwapped } from './points-swapped.ts';
import { primeLowBeforeTrip, primeNotRestored } from './prime.ts';
import {
  alarmWithoutRelease,
  flowWithoutRelease,
  releaseDisabled,
  releaseWhileIsolated,
  releaseWithoutAlarm,
  releaseWithoutFlow,
} from './release.ts';
import { reAlarmAfterReset, resetBeforeClear, solenoidNotReleased, supervisoryNotRestored } from './resets.ts';
import { silentPoint } from './silent-point.ts';
import { chattering, impairmentOverdue, troubleUnattended } from './standing.ts';
import { supervisoryMissing, supplyLeftClosed } from './supply.ts';

const rules: readonly Rule[] = [
  flowWithSupplyClosed,
  resetBeforeClear,
  reAlarmAfterReset,
  releaseWithoutFlow,
  releaseWhileIsolated,
  flowWithoutRelease,
  alarmWithoutRelease,
  releaseWithoutAlarm,
  releaseDisabled,
  primeLowBeforeTrip,
  primeNotRestored,
  solenoidNotReleased,
  supplyLeftClosed,
  supervisoryMissing,
  supervisoryNotRestored,
  flowNotRestored,
  alarmTestWithoutFlow,
  incompleteRestoration,
  chattering,
  staleLink,
  sequenceGap,
  clockSkew,
  troubleUnattended,
  impairmentOverdue,
  earlyOrLate,
  silentPoint,
  pointsSwapped,
  unknownPoint,
];

/** Every condition that follows from the facts, due or not yet; those that another one hides by its mere standing left out. */
export function conditionsOf(facts: Facts): readonly Condition[] {
  const conditions = rules.flatMap((rule) => rule(facts));
  const reAlarm = conditions.some(({ code }) => code === 're-alarm-after-reset');
  const { release, picture, spans } = facts;
  const sinceReset_ms = (release?.begin.order_ms ?? 0) - (picture.lastReset?.mark.order_ms ?? Infinity);
  if (!reAlarm || sinceReset_ms < 0 || sinceReset_ms > spans.settle_ms) return conditions;
  return conditions.filter(({ code }) => code !== 'release-without-alarm');
}

/** What the names of swapped points would raise. */
const raisedByWrongNames = new Set<FindingCode>([
  'flow-with-supply-closed',
  'flow-not-restored',
  'prime-low-before-trip',
  'prime-not-restored',
  'reset-before-clear',
  'supervisory-missing',
  'early-signal',
  'late-signal',
  'silent-point',
]);

/** Leaves out what another asserted condition says already (CONTRACT 5.4). */
export function winners(asserted: readonly Condition[]): readonly Condition[] {
  if (asserted.some(({ code }) => code === 'points-swapped'))
    return asserted.filter(({ code }) => !raisedByWrongNames.has(code));
  if (!asserted.some(({ code }) => code === 'flow-with-supply-closed')) return asserted;
  return asserted.filter(({ code }) => code !== 'flow-not-restored' && code !== 'flow-without-release');
}
