import { isInitiating } from '@tidemark/signals';
import type { Case, Occurrence } from './case.ts';
import { slack_ms, unsure } from './case.ts';
import type { HeardSignal } from './heard-story.ts';
import type { Known, Stretch } from './known.ts';
import { isOn, isWatched } from './known.ts';

/** Initiating devices and waterflow switches: what must have restored before a reset. */
const mustClear = ({ name }: Stretch): boolean => isInitiating(name) || name === 'waterflow';

/** What a reset found in alarm, by what is known; with latching alarms, what was announced active again after it. */
function foundBy(given: Case, reset: HeardSignal, known: Known): readonly Stretch[] {
  const standing = known.stretches.filter((each) => mustClear(each) && isOn(each, reset.at) && each.from.at < reset.at);
  return given.profile.panel.restorals === 'contact'
    ? standing
    : standing.filter((each) => again(given, reset, each) !== undefined);
}

/** The signal with which a latching panel announces a point anew after a reset. */
const again = (given: Case, reset: HeardSignal, { from, name }: Stretch): HeardSignal | undefined =>
  given.all.signals.find(
    (each) =>
      each.name === name &&
      each.point === from.point &&
      each.state === 'active' &&
      each.at > reset.at &&
      each.at <= reset.at + 1_000 * given.profile.panel.resetSettleSeconds + given.scan_ms,
  );

/** Whether a reset was early, with hindsight. */
export const isEarly = (given: Case, reset: HeardSignal): boolean => foundBy(given, reset, given.all).length > 0;

/**
 * "A reset is performed while an initiating device, or a waterflow switch, has not restored"; at once. By what was
 * known at its receipt: an order that is put right later clears it again.
 */
export function resetBeforeClear(given: Case): readonly Occurrence[] {
  return given.all.resets.flatMap((reset) => {
    if (given.profile.panel.restorals === 'reset') {
      const found = foundBy(given, reset, given.all).map((each) => again(given, reset, each)?.received ?? 0);
      // A latched point that is neither restored nor announced within the settling time: nothing is known of it.
      return found.length === 0 ? [] : [given.at(Math.max(reset.received, Math.min(...found)))];
    }
    const known = given.knownBy(reset.received);
    const atOnce = foundBy(given, reset, known);
    if (atOnce.length > 0)
      return [
        given.at(
          reset.received,
          atOnce.some(({ from }) => reset.at - from.at > given.scan_ms),
        ),
      ];
    return foundBy(given, reset, given.all)
      .slice(0, 1)
      .map(({ from }) => given.at(Math.max(from.received, reset.received), false));
  });
}

/** "An alarm point or `panel-alarm` becomes active within the settling time after a reset that was not early". */
export function reAlarmAfterReset(given: Case): readonly Occurrence[] {
  const settle_ms = 1_000 * given.profile.panel.resetSettleSeconds;
  return given.all.resets
    .filter((reset) => !isEarly(given, reset))
    .flatMap((reset) => {
      const within = ({ at }: HeardSignal): boolean => at > reset.at && at <= reset.at + settle_ms;
      const fresh = given.all.stretches.map(({ from }) => from).filter(within);
      const raising = fresh.filter(({ name }) => name === 'waterflow' || name === 'panel-alarm');
      const initiating = given.all.alarms.filter(within);
      // "No initiating device acted anew": one that was in alarm before may be the same alarm, come back; open.
      const anew = initiating.filter(
        (each) => !given.all.alarms.some((other) => other.at < reset.at && other.point === each.point),
      );
      if (anew.length > 0) return [];
      if (initiating.length > 0) return [given.at(initiating[0]!.received + given.latency_ms, false)];
      return raising.slice(0, 1).flatMap((signal) => given.absent(signal.received, () => true));
    });
}

/** "A point becomes active as often as `limits.chattering` says"; at once, with the last of them. */
export function chattering(given: Case): readonly Occurrence[] {
  const { activations, inSeconds } = given.profile.limits.chattering;
  const points = new Map<string, HeardSignal[]>();
  const begun = new Set(given.all.stretches.map(({ from }) => from));
  for (const signal of given.all.signals) {
    if (signal.state !== 'active' || signal.name === 'periodic-test') continue;
    const key = `${signal.name}/${String(signal.point)}`;
    points.set(key, [...(points.get(key) ?? []), signal]);
  }
  return [...points.values()].flatMap((signals) => {
    const [first] = signals;
    const counted = first !== undefined && (isWatched(first.name) || first.name === 'solenoid');
    const bursts = (chosen: readonly HeardSignal[], within_ms: number): readonly HeardSignal[] =>
      chosen.filter((signal, index) => {
        const before = chosen[index - activations + 1];
        return before !== undefined && signal.at - before.at <= within_ms;
      });
    // "Becomes active" is a change from normal: an announcement anew is none, though it looks like one; open. The
    // panel's own signals are no points.
    const sure = counted
      ? bursts(
          signals.filter((each) => begun.has(each)),
          1_000 * inSeconds - slack_ms,
        )
      : [];
    const perhaps = bursts(signals, 1_000 * inSeconds + slack_ms);
    return [
      ...sure.map(({ received }) => given.at(received)),
      ...unsure(perhaps.filter((each) => !sure.includes(each)).map(({ received }) => given.at(received))),
    ];
  });
}

/** "A valid signal from a point that the profile does not have, or has as another signal"; at once. */
export const unknownPoint = (given: Case): readonly Occurrence[] =>
  given.story.signals.filter(({ known }) => !known).map(({ received }) => given.at(received));

/** "A trouble past its limit". */
export function troubleUnattended(given: Case): readonly Occurrence[] {
  const troubles = given.all.stretches.filter(({ name }) => troubleNames.has(name));
  return troubles.flatMap(({ from }) => {
    return given.absent(from.received + given.limit_ms('troubleSeconds'), (known) => known.lasts(from));
  });
}

const troubleNames = new Set<string>([
  'release-circuit',
  'initiating-circuit',
  'ac-power',
  'battery',
  'earth-fault',
  'panel-fault',
  'communication',
]);

/** "Declared impairments added up over any 24 h, past their limit". */
export function impairmentOverdue(given: Case): readonly Occurrence[] {
  const limit_ms = given.limit_ms('impairmentSeconds');
  const day_ms = 86_400_000;
  const spent = (until: number): number =>
    given.impairments.reduce(
      (sum, { from, to }) => sum + Math.max(0, Math.min(to, until) - Math.max(from, until - day_ms)),
      0,
    );
  return given.impairments.flatMap(({ from, to }) => {
    const missing = limit_ms - spent(from);
    const due = from + missing;
    if (due > to || due > given.story.until) return [];
    return [{ from: given.at(due).from, to: given.at(due + given.latency_ms).to, sure: due + given.latency_ms < to }];
  });
}
