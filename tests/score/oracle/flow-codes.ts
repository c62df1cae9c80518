import type { Case, Occurrence } from './case.ts';
import { unsure } from './case.ts';
import type { Stretch } from './known.ts';
import { isOn } from './known.ts';
import { releaseAt, releases } from './releases.ts';

/** "A waterflow alarm begins while the supply valve is supervised closed, or lasts longer than the predicted drain-down". */
export function flowWithSupplyClosed(given: Case): readonly Occurrence[] {
  return given.all.of('waterflow').flatMap((flow) => [...begunClosed(given, flow), ...outlasting(given, flow)]);
}

function begunClosed(given: Case, flow: Stretch): readonly Occurrence[] {
  const valve = given.all.at('supply-valve', flow.from.at);
  if (valve === undefined) return [];
  const heard = Math.max(flow.from.received, valve.from.received);
  const sure = flow.from.at - valve.from.at > given.scan_ms;
  const window = given.tests.find((each) => each.from <= flow.from.at && each.to >= flow.from.at);
  if (window === undefined || given.profile.trim.alarmTestSource === 'downstream') return [given.at(heard, sure)];
  // "An announced alarm test": one that expects waterflow. Whether another window is one, the contract leaves open.
  // So is water after a release in the window, as in a trip test.
  const released = releases(given, given.all).some(({ at, over }) => at <= flow.from.at && over >= window.from);
  return window.expect?.includes('waterflow') === true && !released ? [] : [given.at(heard, false)];
}

function outlasting(given: Case, flow: Stretch): readonly Occurrence[] {
  const span_ms =
    given.window_ms('supplyCloseStroke').max +
    given.limit_ms('drainsOpenWithinSeconds') +
    given.window_ms('drainsOpenToFlowRestored').max +
    given.scan_ms;
  return given.all
    .of('supply-valve')
    .filter((valve) => valve.from.at > flow.from.at && isOn(flow, valve.from.at))
    .flatMap((valve) => {
      const raised = given.absent(valve.from.received + span_ms, (known) => {
        return known.lasts(flow.from) && known.lasts(valve.from);
      });
      // Of a panel that latches it is not judged before the reset (CONTRACT 5.2); after one that found water, no other
      // deadline is given.
      if (given.profile.panel.restorals === 'reset' && !foundAtReset(given, flow, valve)) return [];
      return given.profile.panel.restorals === 'reset' ? unsure(raised) : raised;
    });
}

/** Whether the first reset after a valve was closed left the waterflow alarm standing. */
function foundAtReset(given: Case, flow: Stretch, valve: Stretch): boolean {
  const reset = given.all.resets.find((each) => each.at > valve.from.at && isOn(flow, each.at));
  if (reset === undefined) return false;
  return flow.to === undefined || flow.to.at > reset.at + 1_000 * given.profile.panel.resetSettleSeconds;
}

/** "After an alarm test or drain-down the waterflow alarm outlasts the predicted bleed-down"; not with the valve closed. */
export function flowNotRestored(given: Case): readonly Occurrence[] {
  const bleed_ms = given.window_ms('testShutToFlowRestored').max + given.scan_ms;
  return given.all.of('waterflow').flatMap((flow) => {
    const window = given.tests.find((each) => each.from <= flow.from.at && each.to >= flow.from.at);
    if (window === undefined) return drainedAndReopened(given, flow);
    const released = releaseAt(releases(given, given.all), flow.from.at) !== undefined;
    const raised = given.absent(window.to + bleed_ms, (known) => known.lasts(flow.from));
    // Open: flow of which the station hears only then, with more to come.
    const heardLate = flow.from.received > window.to + bleed_ms ? [given.at(flow.from.received, false)] : [];
    const due = window.to + bleed_ms + given.latency_ms;
    const closed = given.all.of('supply-valve').some((valve) => isOn(valve, due) || isOn(valve, flow.from.at));
    // Open: a release in the window, and a valve off normal, whose own code wins while it is; a latched alarm is "not
    // known" (CONTRACT 3).
    const isOpen = released || closed || given.profile.panel.restorals === 'reset' || given.inTest(window.to + 1, due);
    return [...heardLate, ...(isOpen ? unsure(raised) : raised)];
  });
}

/** Open: a flow alarm that outlasted the drain-down and whose valve is then opened is one of two codes, or both. */
const drainedAndReopened = (given: Case, flow: Stretch): readonly Occurrence[] =>
  given.all
    .of('supply-valve')
    .filter(({ from, to }) => from.at > flow.from.at && to !== undefined && isOn(flow, to.at))
    .map(({ from, to }) => {
      const end = flow.to?.received ?? to?.received ?? from.received;
      return { from: from.received, to: given.at(end + given.latency_ms).to, sure: false };
    });

/** "A test was announced with `expect: [waterflow]` and none came by its end". */
export function alarmTestWithoutFlow(given: Case): readonly Occurrence[] {
  return given.tests
    .filter(({ expect }) => expect?.includes('waterflow') === true && given.has('waterflow'))
    .flatMap(({ from, to }) => {
      const raised = given.absent(to, (known) => !known.of('waterflow').some((flow) => flow.from.at >= from));
      const before = given.all.of('waterflow').some((flow) => flow.from.at < from && (flow.to?.at ?? Infinity) >= from);
      return before ? unsure(raised) : raised;
    });
}
