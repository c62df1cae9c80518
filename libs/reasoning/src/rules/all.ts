import type { Condition, Rule } from '../condition.ts';
import type { Facts } from '../facts.ts';
import { anyPoint, partsOf } from '../parts.ts';
import type { Parts } from '../parts.ts';
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

/** What tells whether an alarm stands for a release that no point reports. */
const standsIn = ['initiating', 'release-disconnect'] as const;

/** Every rule with the parts of the facts that it reads, texts included: it is asked again only when one of them changed. */
const rules: readonly (readonly [rule: Rule, reads: Parts])[] = [
  [flowWithSupplyClosed, partsOf('episode')],
  [resetBeforeClear, partsOf('episode', 'initiating', 'waterflow')],
  [reAlarmAfterReset, partsOf('episode', 'last-reset', 'initiating', 'waterflow', 'panel-alarm')],
  [releaseWithoutFlow, partsOf('episode', 'prime-pressure-low', ...standsIn)],
  [releaseWhileIsolated, partsOf('episode', ...standsIn)],
  [flowWithoutRelease, partsOf('episode', 'prime-pressure-low', ...standsIn)],
  [alarmWithoutRelease, partsOf('episode', 'initiating', 'solenoid', 'release-disconnect', 'waterflow')],
  [releaseWithoutAlarm, partsOf('episode', 'initiating')],
  [releaseDisabled, partsOf('episode', 'initiating', 'release-disconnect', 'tests')],
  [primeLowBeforeTrip, partsOf('episode', 'prime-pressure-low', 'solenoid', 'waterflow', ...standsIn)],
  [primeNotRestored, partsOf('episode', 'prime-pressure-low', 'prime-valve', 'waterflow', ...standsIn)],
  [solenoidNotReleased, partsOf('episode', 'solenoid', 'initiating')],
  [supplyLeftClosed, partsOf('episode', 'tests', 'impairments', 'heard-besides-test')],
  [supervisoryMissing, partsOf('episode', ...standsIn)],
  [supervisoryNotRestored, partsOf('episode', 'waterflow', 'readings', 'heard-besides-test')],
  [flowNotRestored, partsOf('episode', 'tests', 'solenoid')],
  [alarmTestWithoutFlow, partsOf('tests')],
  [incompleteRestoration, partsOf('episode', 'tests', 'impairments', 'reset-owed', 'heard-besides-test', ...anyPoint)],
  [chattering, partsOf(...anyPoint)],
  [staleLink, partsOf('heard', 'link')],
  [sequenceGap, partsOf('missing')],
  [clockSkew, partsOf('clocks')],
  [troubleUnattended, partsOf('trouble')],
  [impairmentOverdue, partsOf('impairments')],
  [earlyOrLate, partsOf('episode', 'prime-pressure-low', 'prime-valve')],
  [silentPoint, partsOf('episode', 'prime-pressure-low', 'release-disconnect', 'missing')],
  [pointsSwapped, partsOf('episode')],
  [unknownPoint, partsOf('strangers')],
];

/** The conditions of each rule, in the order of the rules. */
export type ByRule = readonly (readonly Condition[])[];

const none: readonly Condition[] = [];

/** What each rule makes of the facts, where `changed` says what is different since `before`. */
export function judgeRules(facts: Facts, before: ByRule, changed: Parts): ByRule {
  let next: (readonly Condition[])[] | undefined;
  for (const [index, [rule, reads]] of rules.entries()) {
    if ((reads & changed) === 0) continue;
    const said = rule(facts);
    const conditions = said.length === 0 ? none : said;
    if (conditions === (before[index] ?? none)) continue;
    next ??= before.length === 0 ? rules.map(() => none) : [...before];
    next[index] = conditions;
  }
  return next ?? before;
}

/** Every condition that follows from the facts, due or not yet; those that another one hides by its mere standing left out. */
export function conditionsOf(facts: Facts, byRule: ByRule): readonly Condition[] {
  const conditions: Condition[] = [];
  for (const said of byRule) if (said.length > 0) conditions.push(...said);
  const reAlarm = conditions.some(({ code }) => code === 're-alarm-after-reset');
  if (!reAlarm) return conditions;
  const { release, picture, spans } = facts;
  const sinceReset_ms = (release?.begin.order_ms ?? 0) - (picture.lastReset?.mark.order_ms ?? Infinity);
  if (sinceReset_ms < 0 || sinceReset_ms > spans.settle_ms) return conditions;
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
  if (asserted.length < 2) return asserted;
  if (asserted.some(({ code }) => code === 'points-swapped'))
    return asserted.filter(({ code }) => !raisedByWrongNames.has(code));
  if (!asserted.some(({ code }) => code === 'flow-with-supply-closed')) return asserted;
  return asserted.filter(({ code }) => code !== 'flow-not-restored' && code !== 'flow-without-release');
}
