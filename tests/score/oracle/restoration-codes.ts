import { classOf } from '@tidemark/signals';
import type { Case, Occurrence } from './case.ts';
import { slack_ms, unsure } from './case.ts';
import type { HeardSignal } from './heard-story.ts';
import type { Known } from './known.ts';
import { isOn, isWatched } from './known.ts';
import { isEarly } from './panel-codes.ts';
import { releases } from './releases.ts';

/** "A released system's water stops and no valve supervisory signal comes within `supervisoryMissingSeconds`". */
export function supervisoryMissing(given: Case): readonly Occurrence[] {
  if (!given.has('supply-valve')) return [];
  const span_ms = given.limit_ms('supervisoryMissingSeconds');
  return given.all.of('waterflow').flatMap((flow) => {
    const stopped = flow.to;
    if (stopped === undefined) return [];
    const all = releases(given, given.all);
    const released = all.some(({ at, over }) => at <= stopped.at && over >= flow.from.at);
    // Open: whether a valve that tripped by itself is "a released system"; a test's own water is none.
    if (!released && given.inTest(flow.from.at)) return [];
    const raised = given.absent(stopped.received + span_ms, (known) => {
      const spoke = known
        .of('supply-valve')
        .some((valve) => isOn(valve, stopped.at) || (valve.to?.at ?? Infinity) >= flow.from.at);
      const again = known.of('waterflow').some(({ from }) => from.at > stopped.at);
      return !spoke && !again;
    });
    return released ? raised : unsure(raised);
  });
}

/** The moments at which an episode has gone quiet: no signal but `periodic-test` for `quietSeconds` (CONTRACT 5.3). */
function quietMoments(given: Case): readonly { readonly last: HeardSignal; readonly raised: Occurrence }[] {
  const { commands, links, repeats, until } = given.story;
  const signals = given.story.signals
    .filter(({ name }) => name !== 'periodic-test')
    .toSorted((one, other) => one.received - other.received);
  return signals.flatMap((last, index) => {
    const quiet = last.received + given.limit_ms('quietSeconds');
    const next = signals[index + 1]?.received ?? Infinity;
    if (next <= quiet - slack_ms || quiet + given.latency_ms > until) return [];
    // Open: whether commands, links and repeats break the quiet, and a signal at its very end.
    const others = [...commands.map(({ received }) => received), ...links.map(({ received }) => received), ...repeats];
    const between = others.filter((at) => at > last.received && at <= quiet + given.latency_ms);
    const to = given.at(
      Math.max(quiet, ...between.map((at) => at + given.limit_ms('quietSeconds'))) + given.latency_ms,
    ).to;
    return [{ last, raised: { ...given.at(quiet + given.latency_ms), to, sure: next > to && to < until } }];
  });
}

/** "Closed longer than `supplyLeftClosedSeconds` with no open episode …; or an episode has gone quiet with it closed". */
export function supplyLeftClosed(given: Case): readonly Occurrence[] {
  const span_ms = given.limit_ms('supplyLeftClosedSeconds');
  const alone = given.all.of('supply-valve').flatMap((valve) => {
    const { at, received } = valve.from;
    const before = calm(given, at);
    if (before === 'episode') return [];
    const excused = [...given.tests, ...given.impairments].filter(({ from, to }) => {
      return from <= received + span_ms && to >= received;
    });
    const ended = Math.max(0, ...excused.map(({ to }) => to));
    const due = received + span_ms;
    // Open: another alarm, or a release, that joins the episode which the closing opened.
    const joined = given.all.stretches.some(({ from, name }) => {
      const joins = classOf(name) === 'alarm' || name === 'solenoid';
      return joins && isOn(valve, from.at) && from.at < Math.max(due, ended) + given.latency_ms;
    });
    if (ended === 0) {
      const raised = given.absent(due, (known) => known.lasts(valve.from));
      return before === 'calm' && !joined ? raised : unsure(raised);
    }
    // Open: whether the time within a window counts.
    const first = given.knownBy(Math.max(due, ended) + given.latency_ms).lasts(valve.from);
    if (!first) return [];
    const latest = Math.max(due, ended + span_ms) + given.latency_ms + slack_ms;
    const sure = before === 'calm' && given.knownBy(latest).lasts(valve.from) && latest < given.story.until;
    const reopened = given.inTest(ended + 1, latest) || given.impaired(ended + 1, latest);
    return [{ from: given.at(Math.max(due, ended)).from, to: given.at(latest).to, sure: sure && !reopened && !joined }];
  });
  return [...alone, ...quietWith(given, (known, last) => known.at('supply-valve', last.at) !== undefined)];
}

/** What holds at the moments of quiet; what a test window or an impairment bears on is open. */
const quietWith = (
  given: Case,
  holds: (known: Known, last: HeardSignal, raised: Occurrence) => boolean,
): readonly Occurrence[] =>
  quietMoments(given).flatMap(({ last, raised }) => {
    const known = given.knownBy(raised.to);
    const end = known.signals.at(-1) ?? last;
    if (!holds(known, end, raised)) return [];
    const excused = given.inTest(raised.from, raised.to) || given.impaired(raised.from, raised.to);
    return excused ? unsure([raised]) : [raised];
  });

/**
 * What there was before a valve was closed: nothing at all; something whose episode the contract gives no certain end;
 * or an episode that is open because of an alarm or a release.
 */
function calm(given: Case, at: number): 'calm' | 'open' | 'episode' {
  const before = given.all.stretches.filter(({ from }) => from.at < at);
  const standing = before.filter((each) => isOn(each, at));
  if (standing.some(({ name }) => classOf(name) === 'alarm' || name === 'solenoid' || name === 'panel-alarm'))
    return 'episode';
  if (standing.some(({ name }) => name !== 'test-mode')) return 'open';
  const alarmed = before.filter(({ name }) => classOf(name) === 'alarm' || name === 'solenoid');
  if (alarmed.length === 0) return 'calm';
  const settle_ms = 1_000 * given.profile.panel.resetSettleSeconds;
  const last = Math.max(...before.filter(({ name }) => isWatched(name)).map(({ to }) => to?.at ?? 0));
  return given.all.resets.some((reset) => reset.at < at && reset.at + settle_ms >= last) ? 'calm' : 'episode';
}

/** "A reset more than `reopenSeconds` after the first good one finds the valve supervisory still active, or …". */
export function supervisoryNotRestored(given: Case): readonly Occurrence[] {
  const { panel } = given.profile;
  // A panel that latches them tells within the settling time after a reset whether it found them (CONTRACT 3).
  const settle_ms = panel.supervisoryRestorals === 'reset' ? 1_000 * panel.resetSettleSeconds : 0;
  const found = given.all.of('supply-valve').flatMap((valve) => {
    const began = episodeBegan(given, valve.from.at);
    const first = given.all.resets.find((reset) => reset.at >= began && !isEarly(given, reset));
    if (first === undefined) return [];
    const after_ms = (reset: HeardSignal): number => reset.at - first.at - given.limit_ms('reopenSeconds');
    return given.all.resets
      .filter((reset) => after_ms(reset) > -slack_ms && reset.at > valve.from.at)
      .flatMap((reset) => {
        const raised = given.absent(reset.received + settle_ms, (known) => known.lasts(valve.from));
        // Open: whether a good reset before the valve was closed is the one that counts from.
        const clear = after_ms(reset) > slack_ms && first.at > valve.from.at && !isEarly(given, reset);
        return clear && settle_ms === 0 ? raised : unsure(raised);
      });
  });
  const quiet = quietWith(given, (known, last) => {
    const valve = known.at('supply-valve', last.at);
    return valve !== undefined && known.resets.some((reset) => isOn(valve, reset.at));
  });
  return [...found, ...quiet, ...contradictedByReadings(given)];
}

/** Open: "or it cleared while readings of system or supply pressure say the valve is shut": how low, it does not say. */
const contradictedByReadings = (given: Case): readonly Occurrence[] =>
  given.all.of('supply-valve').flatMap(({ to }) => {
    if (to === undefined) return [];
    const low = given.all.signals.some(({ at, name, si }) => {
      return (
        (name === 'system-pressure' || name === 'supply-pressure') &&
        at >= to.at &&
        (si ?? Infinity) < lowShare * given.profile.supply.static
      );
    });
    return low ? [{ from: to.received, to: given.story.until, sure: false }] : [];
  });

/** A supply whose pressure is that low might be shut. */
const lowShare = 0.5;

/** When the episode of a moment began: with the first signal since everything was normal. */
function episodeBegan(given: Case, at: number): number {
  const opening = given.all.stretches.filter(
    ({ from, name }) => from.at <= at && (isWatched(name) || name === 'solenoid'),
  );
  const starts = opening.map(({ from }) => from.at).filter((start) => calm(given, start) === 'calm');
  return starts.at(-1) ?? 0;
}

/** "An episode goes quiet with steps of the restoration list contradicted or waiting". */
export function incompleteRestoration(given: Case): readonly Occurrence[] {
  const settle_ms = 1_000 * given.profile.panel.resetSettleSeconds;
  const quiet = quietMoments(given);
  return quiet.flatMap(({ last, raised }): readonly Occurrence[] => {
    const known = given.knownBy(raised.to);
    const at = known.signals.at(-1)?.at ?? last.at;
    const valve = known.at('supply-valve', at);
    // "Water still flows with the supply valve open": then it is not raised.
    if (known.at('waterflow', at) !== undefined && valve === undefined) return [];
    const watched = known.stretches.filter(({ name }) => isWatched(name));
    const tripped = known.stretches.filter(({ name }) => name === 'solenoid' || name === 'waterflow');
    const standing = [...watched, ...tripped].filter((each) => isOn(each, at));
    const lastTo = Math.max(0, ...watched.map(({ to }) => to?.at ?? 0));
    const opened = known.stretches.some(({ name }) => classOf(name) === 'alarm' || name === 'solenoid');
    const closed = known.resets.some((reset) => reset.at + settle_ms >= lastTo);
    const waits = opened && !closed;
    const lit = known.stretches.some((each) => isOn(each, at) && ['panel', 'trouble'].includes(classOf(each.name)));
    if (standing.length === 0 && !waits && !lit) return [];
    const excused = given.inTest(raised.from, raised.to) || given.impaired(raised.from, raised.to);
    // Open: what only waits where neither water nor a release was; a trouble alone, which leaves the riser in service;
    // points that a panel latches, whose state is "not known" until it is reset (CONTRACT 3).
    const { restorals, supervisoryRestorals } = given.profile.panel;
    const definite = standing.some(({ name }) => {
      const told = classOf(name) === 'supervisory' ? supervisoryRestorals : restorals;
      return classOf(name) === 'release' || told === 'contact';
    });
    const isSure = (definite || (waits && tripped.length > 0)) && !excused;
    return isSure ? [raised] : unsure([raised]);
  });
}
