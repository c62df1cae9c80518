import type { Case, Occurrence } from './case.ts';
import { slack_ms, unsure } from './case.ts';
import type { Stretch } from './known.ts';
import { isOn } from './known.ts';
import { deadline_ms, releaseAt, releases, releasingAlarms } from './releases.ts';

/** "The solenoid is energized and no waterflow follows within the predicted window"; not with the valve closed. */
export function releaseWithoutFlow(given: Case): readonly Occurrence[] {
  if (!given.has('waterflow')) return [];
  const window_ms = given.window_ms('releaseToWaterflow').max + given.scan_ms;
  return releases(given, given.all).flatMap((release) => {
    if (given.all.at('supply-valve', release.signal.at) !== undefined) return [];
    const due = release.done + window_ms;
    const raised = given.absent(due, (known) => {
      const now = releases(given, known).find(({ signal }) => signal === release.signal);
      const flowed = known.of('waterflow').some((flow) => isOn(flow, release.at) || flow.from.at >= release.signal.at);
      return now !== undefined && !flowed;
    });
    // Open: a release that is over, or a valve that is closed, before the wait is over; the contract does not say
    // whether the condition is then "gone".
    const gone = release.over <= due + given.latency_ms;
    const closing = given.all.of('supply-valve').some(({ from }) => from.at <= due && from.at >= release.signal.at);
    // So is an alarm that a reset found again where no release is seen: the same alarm, or a release of its own.
    const again = !release.seen && given.all.begunBy(release.signal) === undefined;
    return gone || closing || again ? unsure(raised) : raised;
  });
}

/** "The release acts while the supply valve is supervised closed"; at once. */
export function releaseWhileIsolated(given: Case): readonly Occurrence[] {
  return releases(given, given.all).flatMap((release) => {
    const valve = given.all.at('supply-valve', release.signal.at);
    if (valve === undefined) return [];
    const heard = Math.max(release.signal.received, valve.from.received);
    if (release.seen) return [given.at(heard, !near(given, valve.from.at, release.at))];
    // Without a point for it, the release is possible from its delay and taken as done at its deadline: the code is
    // raised somewhere between the two, and may be taken back by a reset before. An alarm that a reset found again is
    // the same alarm or a release of its own: open.
    const to = release.done + given.latency_ms + slack_ms;
    const until = { ...given.at(heard), to: given.at(to).to };
    const again = given.all.begunBy(release.signal) === undefined;
    return [{ ...until, sure: release.over > to && to < given.story.until && !again }];
  });
}

/** "An initiating alarm that by the profile should release, and no solenoid by the release deadline". */
export function alarmWithoutRelease(given: Case): readonly Occurrence[] {
  if (!given.has('solenoid')) return [];
  return releasingAlarms(given, given.all).flatMap((alarm) => {
    const deadline = alarm.received + deadline_ms(given);
    const raised = given.absent(deadline, (known) => {
      const released = known.of('solenoid').some((each) => isOn(each, alarm.at) || each.from.at >= alarm.at);
      return !released && known.at('release-disconnect', alarm.at) === undefined;
    });
    const end = given.all.begunBy(alarm)?.to?.at ?? Infinity;
    // Open: a device that restored, a reset or a disconnection before the wait is over; an alarm announced anew, which
    // is the same alarm.
    const due = deadline + given.latency_ms;
    const changed = given.all.of('release-disconnect').some(({ from }) => from.at > alarm.at && from.at <= due);
    const reset = given.all.resets.some(({ at }) => at > alarm.at && at <= due);
    return end <= due || changed || reset || given.all.begunBy(alarm) === undefined ? unsure(raised) : raised;
  });
}

/** "The solenoid energizes with no initiating alarm"; within `resetSettleSeconds` of a reset `re-alarm-after-reset` wins. */
export function releaseWithoutAlarm(given: Case): readonly Occurrence[] {
  const { panel } = given.profile;
  return given.all.of('solenoid').flatMap(({ from, to }) => {
    if (given.all.resets.some(({ at }) => from.at >= at && from.at <= at + 1_000 * panel.resetSettleSeconds)) return [];
    const raised = given.absent(from.received, (known) => known.initiating(from.at).length === 0 && known.lasts(from));
    // Open: an alarm just after it; and one since the last reset, which the panel has latched though its device restored.
    const reset = given.all.resets.findLast(({ at }) => at <= from.at)?.at ?? 0;
    const alarmed = given.all.alarms.some(({ at }) => at <= from.at + given.latency_ms && at >= reset);
    const over = to !== undefined && to.at <= from.at + given.latency_ms;
    return alarmed || over ? unsure(raised) : raised;
  });
}

/** "Release-disconnect active longer than `releaseDisabledSeconds`, or at the time of an alarm"; not in a test window. */
export function releaseDisabled(given: Case): readonly Occurrence[] {
  const span_ms = given.limit_ms('releaseDisabledSeconds');
  return given.all.of('release-disconnect').flatMap((off) => {
    const long = given.absent(off.from.received + span_ms, (known) => known.lasts(off.from));
    const tested = given.tests.filter((each) => each.to > off.from.received);
    const alarms = given.all.alarms.filter((alarm) => isOn(off, alarm.at));
    const atAlarm = alarms.map((alarm) => {
      const heard = Math.max(alarm.received, off.from.received);
      return { ...given.at(heard, !near(given, alarm.at, off.from.at)), tested: given.inTest(alarm.at) };
    });
    // Open: whether an alarm of a waterflow switch is "an alarm" here.
    const water = given.all.of('waterflow').filter((flow) => isOn(off, flow.from.at) && !given.inTest(flow.from.at));
    return [
      ...(tested.length === 0 ? long : afterTests(given, off.from.received + span_ms, tested.at(-1)?.to ?? 0)),
      ...atAlarm.filter((each) => !each.tested),
      ...water.map((flow) => given.at(flow.from.received, false)),
    ];

    /** A window that lay within the time is left out of it or not: the contract does not say. */
    function afterTests(ofCase: Case, due: number, ended: number): readonly Occurrence[] {
      const latest = Math.max(due, ended + span_ms) + ofCase.latency_ms + slack_ms;
      const still = ofCase.knownBy(latest).lasts(off.from);
      if (long.length === 0 && !still) return [];
      const from = Math.max(due, ended) - slack_ms;
      if (from > ofCase.story.until) return [];
      return [{ from: ofCase.at(from).from, to: ofCase.at(latest).to, sure: still && latest < ofCase.story.until }];
    }
  });
}

/** "A waterflow alarm with no release and no test announced"; while the valve is off normal another code has it. */
export function flowWithoutRelease(given: Case): readonly Occurrence[] {
  return given.all.of('waterflow').flatMap((flow) => {
    const { from } = flow;
    const valve = given.all.at('supply-valve', from.at);
    const opened = valve?.to;
    if (valve !== undefined && opened === undefined) return [];
    // Behind a valve that was off normal it may speak from the valve's restoral on, at the latest after the latency.
    const start = Math.max(from.received, opened?.received ?? 0);
    const soonest = Math.max(from.received + given.latency_ms, opened?.received ?? 0);
    const raised = given
      .absent(start, (known) => {
        return (
          known.lasts(from) &&
          releaseAt(releases(given, known), from.at) === undefined &&
          known.at('supply-valve', known.signals.at(-1)?.at ?? 0) === undefined
        );
      })
      .map((each) => ({ ...each, from: given.at(soonest).from }));
    if (given.inTest(from.at)) return [];
    return [...(isOpenFlow(given, from.at) ? unsure(raised) : raised), ...reopenedUnder(given, flow)];
  });
}

/** Open: flow that is still reported when a valve that was closed meanwhile is open again: raised anew, or still standing. */
const reopenedUnder = (given: Case, flow: Stretch): readonly Occurrence[] =>
  given.all
    .of('supply-valve')
    .flatMap(({ from, to }) =>
      from.at > flow.from.at && to !== undefined && isOn(flow, to.at)
        ? [{ from: given.at(to.received).from, to: given.at(to.received + given.latency_ms).to, sure: false }]
        : [],
    );

/**
 * Open: a test announced, or a release, just after the flow began; flow that comes again after a release that ended
 * without a reset, which may be that release's water; flow that a reset found again.
 */
function isOpenFlow(given: Case, at: number): boolean {
  const all = releases(given, given.all);
  const last = all.findLast((each) => each.signal.at <= at);
  const unfinished =
    last !== undefined && !given.all.resets.some((reset) => reset.at > last.signal.at && reset.at <= at);
  const after = all.some((each) => each.at > at && each.at <= at + given.latency_ms + slack_ms);
  const settle_ms = 1_000 * given.profile.panel.resetSettleSeconds;
  const settling = given.all.resets.some((reset) => reset.at <= at && at - reset.at <= settle_ms);
  return after || unfinished || settling || given.inTest(at - slack_ms, at + given.latency_ms + slack_ms);
}

/** So close that a scan may turn their order round. */
const near = ({ scan_ms }: Case, one: number, other: number): boolean => Math.abs(one - other) <= scan_ms;
