import type { Mark, Reset } from '@tidemark/riser';
import type { Rule } from '../condition.ts';
import type { Facts } from '../facts.ts';
import { activeSince, after, lastTrip, latest, plus, supplyClosed } from '../facts.ts';
import { at, cautions, timeOf } from '../wording.ts';

/** Priming pressure low with the solenoid at rest and no flow: the valve may trip. */
export const primeLowBeforeTrip: Rule = (facts) => {
  const low = activeSince(facts, 'prime-pressure-low');
  if (
    !facts.open ||
    low === undefined ||
    activeSince(facts, 'solenoid') !== undefined ||
    activeSince(facts, 'waterflow') !== undefined
  )
    return [];
  if (awaitsPrimeSince(facts) !== undefined) return [];
  if (facts.release?.seen === false && facts.release.end === undefined) return [];
  return [
    {
      code: 'prime-low-before-trip',
      occasion: low.ref.id,
      dueAt_ms: low.receivedAt + facts.spans.latency_ms,
      severity: 'high',
      evidence: [low.ref],
      absence: true,
      say: () => ({
        explanation: `Priming pressure was reported low at ${timeOf(facts, low)} with no release and no water reported. That pressure holds the valve shut: if it falls further, the riser trips by itself.`,
        advice:
          'Have somebody look at the priming gauge, the priming valve and the release drain, soon. Water at the release drain means a leak; a dry drain means that priming water does not arrive.',
        caution:
          'The riser may discharge without warning: people below the nozzles and goods that water harms should be thought of now.',
      }),
    },
  ];
};

/**
 * The trip after which priming pressure has not been back; from it on its lack is the restoration's, not a warning. A low
 * that began while the release stood belongs to it, whatever came back meanwhile.
 */
function awaitsPrimeSince(facts: Facts): Mark | undefined {
  const trip = lastTrip(facts);
  if (trip === undefined) return undefined;
  const low = activeSince(facts, 'prime-pressure-low');
  const released =
    facts.release !== undefined &&
    low !== undefined &&
    !after(facts.release.begin, low) &&
    (facts.release.end === undefined || !after(low, facts.release.end));
  return released || !after(facts.episode?.primeBack, trip) ? trip : undefined;
}

/** The first reset after the last trip that counts: one that was not early, or after which the release was at rest. */
export function restoringReset(facts: Facts): Reset | undefined {
  const trip = lastTrip(facts);
  if (trip === undefined) return undefined;
  const atRest = facts.release?.seen === true ? facts.release.end : undefined;
  return facts.episode?.resets.find(
    ({ mark, early }) => after(mark, trip) && (early.length === 0 || atRest !== undefined),
  );
}

/** The moment from which the refill runs: the latest of the reset, the waterflow's and the priming valve's restoral. */
export function refillStart(facts: Facts, reset: Reset): Mark | undefined {
  const valve = facts.picture.points.find(({ signal, state }) => signal === 'prime-valve' && state === 'restored');
  return latest(reset.mark, facts.flow?.end, valve?.since);
}

/** After a reset the priming pressure does not return within the predicted refill. */
export const primeNotRestored: Rule = (facts) => {
  const { spans, windows, profile } = facts;
  const low = activeSince(facts, 'prime-pressure-low');
  const reset = restoringReset(facts);
  if (!facts.open || low === undefined || reset === undefined || awaitsPrimeSince(facts) === undefined) return [];
  if (activeSince(facts, 'waterflow') !== undefined || activeSince(facts, 'prime-valve') !== undefined) return [];
  const closed = supplyClosed(facts);
  if (profile.trim.primeValveClosedForRestoration && closed) return [];
  const start = refillStart(facts, reset);
  const from = profile.trim.primeValveClosedForRestoration ? latest(start, facts.closing?.end) : start;
  if (from === undefined) return [];
  const window = {
    from: plus(from.ref.at, windows.resetToPrimeRestored.min_s * 1_000 - spans.scan_ms),
    to: plus(from.ref.at, spans.refill_ms),
  };
  return [
    {
      code: 'prime-not-restored',
      occasion: reset.mark.ref.id,
      dueAt_ms: from.receivedAt + spans.refill_ms + spans.latency_ms,
      severity: closed ? 'advisory' : 'critical',
      evidence: [low.ref, reset.mark.ref, ...(from.ref.id === reset.mark.ref.id ? [] : [from.ref])],
      window,
      absence: true,
      say: () => ({
        explanation:
          `The panel was reset at ${timeOf(facts, reset.mark)}, and priming pressure, low since ${timeOf(facts, low)}, should have been back by ${at(facts, window.to)}. ` +
          (closed
            ? 'The supply valve is still reported closed, so nothing flows now, but the valve will not stay shut when it is opened.'
            : 'The supply valve is no longer reported closed: with no priming pressure the riser trips as soon as water stands below it.'),
        advice:
          'Before the supply valve is opened, have the release drain looked at: running, the vent side is open (solenoid, manual release, relief); dry, priming water does not arrive (priming valve, strainer, orifice).',
        caution: cautions.reopen,
      }),
    },
  ];
};
