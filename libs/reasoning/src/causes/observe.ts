import { hasPoint } from '@tidemark/riser';
import type { EventReference, Flow, Mark } from '@tidemark/riser';
import { isInitiating } from '@tidemark/signals';
import type { SignalName } from '@tidemark/signals';
import type { FindingCode } from '@tidemark/words';
import type { Condition } from '../condition.ts';
import type { Facts } from '../facts.ts';
import { activeSince, after } from '../facts.ts';
import { restoringReset } from '../rules/prime.ts';
import type { Observations, Observed, ValueOf, Variable } from './variables.ts';

type Found<V extends Variable> = Observed<ValueOf<V>> | undefined;

/** A condition that holds now, by its code and, where it matters, its variant. */
type Symptom = (code: FindingCode, variant?: string) => Condition | undefined;

/**
 * What the story so far shows, as the inference wants it. What rests on a signal's absence is taken from the conditions
 * that hold, so that a value changes only when a condition does: in which slices the clock is asked makes no difference.
 */
export function observe(facts: Facts, asserted: readonly Condition[]): Observations {
  const symptom: Symptom = (code, variant) =>
    asserted.find((each) => each.code === code && (variant === undefined || each.variant === variant));
  return defined({
    ...tripOf(facts, symptom),
    ...selfTripOf(facts, symptom),
    ...shutDownOf(facts, symptom),
    ...resetOf(facts, symptom),
    ...reopeningOf(facts, symptom),
    ...testOf(facts, symptom),
    ...standingOf(facts, symptom),
  });
}

type Loose = { readonly [V in Variable]?: Found<V> };

function defined(found: Loose): Observations {
  const kept: Record<string, Observed> = {};
  for (const [name, observed] of Object.entries(found)) if (observed !== undefined) kept[name] = observed;
  return kept;
}

const seen = <Value extends string>(
  value: Value,
  ...marks: readonly (Mark | undefined)[]
): { readonly value: Value; readonly evidence: readonly EventReference[] } => ({
  value,
  evidence: marks.flatMap((mark) => (mark === undefined ? [] : [mark.ref])),
});

const by = <Value extends string>(
  value: Value,
  condition: Condition | undefined,
): { readonly value: Value; readonly evidence: readonly EventReference[] } | undefined =>
  condition === undefined ? undefined : { value, evidence: condition.evidence };

/** The cascade: alarm, release, priming pressure, water (MODEL 4.8, truth table of the witnesses). */
function tripOf(facts: Facts, symptom: Symptom): Loose {
  const { release } = facts;
  const lacking = symptom('release-without-flow');
  return {
    release:
      by('lacking', symptom('alarm-without-release')) ??
      by('unasked', symptom('release-without-alarm')) ??
      by('unreported', symptom('silent-point', 'solenoid')) ??
      by('late', symptom('late-signal', 'release')) ??
      (release?.seen === true && release.alarm !== undefined
        ? seen('follows', release.alarm, release.begin)
        : undefined),
    isolated:
      by('yes', symptom('release-while-isolated')) ?? (release === undefined ? undefined : seen('no', release.begin)),
    tripPrime: tripPrimeOf(facts, symptom),
    tripFlow:
      by('lacking', lacking) ??
      by('early', symptom('early-signal', 'waterflow')) ??
      lateWater(facts) ??
      (tripFlow(facts) === undefined ? undefined : seen('in-time', tripFlow(facts)?.begin)),
  };
}

/** The water of the last release. */
function tripFlow({ release, episode, spans }: Facts): Flow | undefined {
  if (release === undefined) return undefined;
  return episode?.flows.find(
    ({ begin, testWindow, release: followed }) =>
      (testWindow === undefined || followed !== undefined) &&
      begin.order_ms >= release.begin.order_ms - spans.latency_ms,
  );
}

/** Past its window by this much a waterflow is very late (choice of this project; a mis-set retard delays by up to 90 s). */
const veryLate_ms = 20_000;

function lateWater(facts: Facts): Found<'tripFlow'> {
  const { release, spans } = facts;
  const flow = tripFlow(facts);
  if (release === undefined || flow === undefined || flow.supplyClosed !== undefined) return undefined;
  const past_ms = flow.begin.order_ms - release.begin.order_ms - spans.waterflow_ms;
  if (past_ms <= 0) return undefined;
  return seen(past_ms > veryLate_ms ? 'very-late' : 'late', release.begin, flow.begin);
}

/** Whether the chamber was seen to vent: known once water came, or its lack is certain. */
function tripPrimeOf(facts: Facts, symptom: Symptom): Found<'tripPrime'> {
  const { release, picture, spans, profile } = facts;
  if (release === undefined || !hasPoint(profile, 'prime-pressure-low')) return undefined;
  const late = by('falls-late', symptom('late-signal', 'low priming pressure'));
  if (late !== undefined) return late;
  const low = [...picture.points.values()].find(({ signal }) => signal === 'prime-pressure-low')?.activations.at(-1);
  if (low !== undefined && low.order_ms >= release.begin.order_ms - spans.latency_ms) return seen('falls', low);
  return by('holds', symptom('release-without-flow') ?? symptom('silent-point', 'prime'));
}

/**
 * What moved without a release. Water within the time that an opened port takes came of one; later, the priming pressure
 * leaked away (MODEL 4.2, P2; 4.3, R9).
 */
function selfTripOf(facts: Facts, symptom: Symptom): Loose {
  const { picture } = facts;
  const alone = by('prime-alone', symptom('prime-low-before-trip'));
  const water = symptom('flow-without-release') ?? symptom('silent-point', 'solenoid');
  const low = activeSince(facts, 'prime-pressure-low');
  const begin = facts.flow?.begin;
  const supplyLow = [...picture.points.values()]
    .find(({ signal }) => signal === 'supply-pressure-low')
    ?.activations.at(-1);
  const first = low ?? begin;
  return {
    selfTrip: isTripOnReopening(facts)
      ? undefined
      : water === undefined || begin === undefined
        ? (alone ?? (facts.release === undefined ? undefined : seen('none', facts.release.begin)))
        : low === undefined
          ? by(hasPoint(facts.profile, 'prime-pressure-low') ? 'water-alone' : 'water-unwitnessed', water)
          : seen(
              begin.order_ms - low.order_ms > facts.spans.waterflow_ms ? 'prime-then-water' : 'together',
              low,
              begin,
            ),
    supplyPressure:
      supplyLow === undefined || first === undefined
        ? hasPoint(facts.profile, 'supply-pressure-low') && begin !== undefined
          ? seen('steady', begin)
          : undefined
        : after(supplyLow, first)
          ? seen('falls-in-flow', supplyLow)
          : seen('falls-before', supplyLow),
  };
}

function shutDownOf(facts: Facts, symptom: Symptom): Loose {
  const { flow, closing, episode } = facts;
  const closed = flow !== undefined && closing !== undefined && after(closing.begin, flow.begin);
  const alone = episode !== undefined && episode.opener === 'supply-valve' && !episode.alarmed;
  return {
    closing:
      by('missing', symptom('supervisory-missing')) ??
      (alone && closing !== undefined ? seen('uncalled-for', closing.begin) : undefined) ??
      (closed ? seen('reported', closing.begin) : undefined),
    waterWhileClosed:
      by('begins-after-reset', symptom('flow-with-supply-closed', 'after-reset')) ??
      by('begins', symptom('flow-with-supply-closed', 'begins')),
    drainDown:
      by('lasting', symptom('flow-with-supply-closed', 'outlasts') ?? symptom('flow-not-restored', 'drain-down')) ??
      (closed && flow.end !== undefined && after(flow.end, closing.begin)
        ? seen('in-time', closing.begin, flow.end)
        : undefined),
  };
}

function resetOf(facts: Facts, symptom: Symptom): Loose {
  const { episode } = facts;
  const last = episode?.resets.at(-1);
  const early = symptom('reset-before-clear');
  const again = symptom('re-alarm-after-reset');
  const whatIs = (condition: Condition, name: string): boolean =>
    condition.evidence.some(({ what }) => what.startsWith(name));
  const device = (condition: Condition): boolean =>
    condition.evidence.some(({ what }) => isInitiating(what as SignalName));
  const reset = restoringReset(facts);
  const back = episode?.primeBack;
  return {
    resetFound:
      early === undefined
        ? last === undefined
          ? undefined
          : seen('all-clear', last.mark)
        : by(device(early) ? 'device-active' : 'water-active', early),
    reAlarm:
      again === undefined
        ? last === undefined || last.early.length > 0
          ? undefined
          : seen('none', last.mark)
        : by(device(again) ? 'device' : whatIs(again, 'waterflow') ? 'water' : 'panel', again),
    releaseAfterReset:
      by('stays', symptom('solenoid-not-released')) ??
      (reset !== undefined && facts.release?.end !== undefined ? seen('at-rest', facts.release.end) : undefined),
    refill:
      by('lacking', symptom('prime-not-restored')) ??
      by('late', symptom('late-signal', 'return of priming pressure')) ??
      by('early', symptom('early-signal', 'return of priming pressure')) ??
      (reset !== undefined && back !== undefined && after(back, reset.mark) ? seen('in-time', back) : undefined),
  };
}

/** Water after a reset of its episode, with no release and no test: the valve tripped again, or never shut. */
const isTripOnReopening = ({ flow, closing }: Facts): boolean =>
  flow?.reset !== undefined && flow.testWindow === undefined && flow.release === undefined && closing !== undefined;

/** Priming pressure had come back between that reset and the water. */
function wasPrimed({ flow, episode }: Facts): boolean {
  const back = episode?.primeBack;
  return back !== undefined && after(back, flow?.reset?.mark) && after(flow?.begin, back);
}

function reopeningOf(facts: Facts, symptom: Symptom): Loose {
  const { closing, episode, flow } = facts;
  const trips = isTripOnReopening(facts);
  const missing = symptom('supervisory-not-restored') ?? symptom('supply-left-closed');
  const opened = closing?.end;
  return {
    reopening: trips
      ? seen(wasPrimed(facts) ? 'trips-primed' : 'trips-unprimed', flow?.begin)
      : opened !== undefined && episode?.firstGoodReset !== undefined && after(opened, episode.firstGoodReset.mark)
        ? seen('quiet', opened)
        : undefined,
    reopened: by('missing', missing) ?? (opened === undefined ? undefined : seen('reported', opened)),
    steps: by('open', symptom('incomplete-restoration')),
    restorals: restoralsOf(facts),
  };
}

/** A restoral in the episode proves that they are sent; a reset without any before or after it speaks against that. */
function restoralsOf({ picture, episode }: Facts): Found<'restorals'> {
  if (episode === undefined) return undefined;
  const restored = picture.points.find(
    ({ state, since }) => state === 'restored' && since !== undefined && !after(episode.begin, since),
  );
  if (restored !== undefined) return seen('sent', restored.since);
  const reset = episode.resets.at(-1);
  return reset === undefined ? undefined : seen('none', reset.mark);
}

/** The last test that expected waterflow, in this episode or before it. */
function testOf(facts: Facts, symptom: Symptom): Loose {
  const test = facts.picture.tests.findLast(({ expect }) => expect.includes('waterflow'));
  const lacking = by('lacking', symptom('alarm-test-without-flow'));
  const came = test?.seen.get('waterflow');
  const tripped =
    came !== undefined && facts.flow?.testWindow !== undefined && facts.release === undefined
      ? facts.flow.primeLow
      : undefined;
  return {
    testFlow:
      lacking ??
      (came === undefined ? undefined : tripped === undefined ? seen('came', came) : seen('trips', came, tripped)),
    testEnd:
      by('lasting', symptom('flow-not-restored', 'test')) ??
      (came !== undefined && activeSince(facts, 'waterflow') === undefined ? seen('restores', came) : undefined),
  };
}

/** What stands on its own: chattering, the path, the clock, troubles, switches. */
function standingOf(facts: Facts, symptom: Symptom): Loose {
  const chatter = symptom('chattering');
  const names = chatter?.occasion ?? '';
  const trouble = (name: 'release-circuit' | 'initiating-circuit' | 'ac-power' | 'battery'): Mark | undefined =>
    activeSince(facts, name);
  const power = trouble('ac-power') ?? trouble('battery');
  const circuit = trouble('release-circuit');
  const devices = trouble('initiating-circuit');
  return {
    chatter: by(names.endsWith('waterflow') ? 'water' : names.endsWith('supply-valve') ? 'valve' : 'other', chatter),
    path:
      by('silent', symptom('stale-link')) ??
      by('gaps', symptom('sequence-gap')) ??
      by('disorder', symptom('out-of-order')),
    clock: by('wrong', symptom('clock-skew')),
    names: by('permuted', symptom('points-swapped')),
    ...(power === undefined ? {} : { power: seen('trouble', power) }),
    ...(circuit === undefined ? {} : { releaseCircuit: seen('trouble', circuit) }),
    ...(devices === undefined ? {} : { initiatingCircuit: seen('trouble', devices) }),
    disconnect: by('on', symptom('release-disabled')),
  };
}
