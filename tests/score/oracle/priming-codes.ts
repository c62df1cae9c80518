import type { Case, Occurrence } from './case.ts';
import { unsure } from './case.ts';
import type { HeardSignal } from './heard-story.ts';
import type { Stretch } from './known.ts';
import { isOn } from './known.ts';
import { releases } from './releases.ts';

/** "Priming pressure low with the solenoid at rest and no flow"; from a release until it is back another code has it. */
export function primeLowBeforeTrip(given: Case): readonly Occurrence[] {
  return given.all.of('prime-pressure-low').flatMap((low) => {
    const { from } = low;
    const raised = given.absent(from.received, (known) => {
      const quiet = known.of('waterflow').every((flow) => !isOn(flow, from.at) && flow.from.at < from.at);
      const atRest = releases(given, known).every(({ over, signal }) => over <= from.at && signal.at < from.at);
      return known.lasts(from) && quiet && atRest;
    });
    // Open: low since water that no release sent, which 5.4 does not speak of; and beside a release within the latency.
    return raised.length > 0 ? raised : stillLowAfterWater(given, low);
  });
}

function stillLowAfterWater(given: Case, low: Stretch): readonly Occurrence[] {
  const released = releases(given, given.all).some(
    ({ over, signal }) => signal.at <= low.from.at + given.latency_ms && over > low.from.at,
  );
  if (released) return [];
  return given.all
    .of('waterflow')
    .filter(({ to }) => to !== undefined && isOn(low, to.at))
    .map(({ to }) => given.at((to?.received ?? 0) + given.latency_ms, false));
}

/**
 * When the refill after a reset may begin: the latest of the reset, the waterflow's and the priming valve's restoral
 * (CONTRACT 5.2). Undefined while water flows on.
 */
export function refillStart(given: Case, reset: HeardSignal, low: Stretch): HeardSignal | undefined {
  const over = low.to?.at ?? Infinity;
  let start = reset;
  for (const each of given.all.stretches) {
    if (each.name !== 'waterflow' && each.name !== 'prime-valve') continue;
    if (!isOn(each, start.at)) continue;
    if (each.to === undefined || each.to.at > over) return undefined;
    if (each.to.at > start.at) start = each.to;
  }
  return start;
}

/** "After a reset the priming pressure does not return within the predicted refill window". */
export function primeNotRestored(given: Case): readonly Occurrence[] {
  const refill_ms = given.window_ms('resetToPrimeRestored').max + given.scan_ms;
  return given.all.of('prime-pressure-low').flatMap((low) => {
    const resets = given.all.resets.filter((reset) => isOn(low, reset.at));
    return resets.flatMap((reset, index) => {
      const start = refillStart(given, reset, low);
      if (start === undefined) return [];
      const due = start.received + refill_ms;
      const between = (at: number): boolean => at > reset.at && at <= due + given.latency_ms;
      if (releases(given, given.all).some(({ signal }) => between(signal.at))) return [];
      if (given.all.at('prime-valve', due) !== undefined) return [];
      if (given.profile.trim.primeValveClosedForRestoration && given.all.at('supply-valve', due) !== undefined)
        return [];
      const raised = given.absent(due, (known) => known.lasts(low.from));
      // Open: a later reset that moves the start, water that comes again, and a reset with which nobody ended a
      // release or a flow (then the riser lost its priming pressure by itself); and a panel that latches it, of which
      // nothing is known until the next reset (CONTRACT 3). So is a reset with an alarm standing, which releases on.
      const moved = resets.slice(index + 1).some(({ at }) => between(at));
      const water = given.all.of('waterflow').some(({ from }) => between(from.at));
      const tripped = given.all.stretches.some(
        (each) =>
          ['solenoid', 'waterflow'].includes(each.name) &&
          each.from.at <= reset.at &&
          (each.to?.at ?? Infinity) >= low.from.at,
      );
      const latched = given.profile.panel.supervisoryRestorals === 'reset';
      const alarmed = given.all.initiating(reset.at).length > 0;
      return moved || water || !tripped || latched || alarmed ? unsure(raised) : raised;
    });
  });
}

/** "After a reset with no alarm the solenoid stays energized". */
export function solenoidNotReleased(given: Case): readonly Occurrence[] {
  const settle_ms = 1_000 * given.profile.panel.resetSettleSeconds;
  const latched = given.profile.panel.restorals === 'reset';
  return given.all.resets.flatMap((reset) =>
    given.absent(reset.received + settle_ms, (known) => {
      const energized = known.at('solenoid', reset.at);
      const standing = known.initiating(reset.at).filter(({ to }) => {
        return !latched || to === undefined || to.at > reset.at + settle_ms;
      });
      const anew = known.alarms.some(({ at }) => at > reset.at && at <= reset.at + settle_ms);
      return energized !== undefined && energized.to === undefined && standing.length === 0 && !anew;
    }),
  );
}
