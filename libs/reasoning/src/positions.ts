import type { EventReference } from '@tidemark/riser';
import { hasPoint, openTest } from '@tidemark/riser';
import type { Facts } from './facts.ts';
import { activeSince, lastTrip, supplyClosed } from './facts.ts';
import { linkIsStale } from './ledger.ts';
import type { Instant } from '@tidemark/kernel';
import type { PositionView } from './view.ts';
import type { HiddenElement } from '@tidemark/words';
import { timeOf } from './wording.ts';

interface Belief {
  readonly position: string;
  readonly certainty: number;
  readonly why: string;
  readonly evidence?: readonly EventReference[];
}

/**
 * Where the hidden parts are believed to be. Certainties are choices of this project, on one scale: 0.95 a switch says
 * so and the physics agrees, 0.8 the physics asks for it, 0.6 likely, 0.5 and below not known. A stale link halves them.
 */
export function positionsOf(facts: Facts, now: Instant): readonly PositionView[] {
  const stale = linkIsStale(facts, now);
  const beliefs: readonly (readonly [HiddenElement, Belief])[] = [
    ['supply-valve', supplyValve(facts)],
    ['clapper', clapper(facts)],
    ['solenoid', solenoid(facts)],
    ['prime-chamber', primeChamber(facts)],
    ['prime-valve', primeValve(facts)],
    ['alarm-line', alarmLine(facts, now)],
    ['drains', { position: 'unknown', certainty: 0, why: 'Nothing on this riser reports its drains.' }],
  ];
  return beliefs.map(([element, { evidence = [], ...belief }]) => ({
    element,
    ...belief,
    certainty: stale ? belief.certainty / 2 : belief.certainty,
    why: stale ? `${belief.why} The link is stale, so this may have changed.` : belief.why,
    evidence,
  }));
}

function supplyValve(facts: Facts): Belief {
  if (!hasPoint(facts.profile, 'supply-valve'))
    return { position: 'unknown', certainty: 0, why: 'This riser does not report its supply valve.' };
  const closed = activeSince(facts, 'supply-valve');
  const flow = activeSince(facts, 'waterflow');
  if (closed !== undefined) {
    const water = flow !== undefined;
    return {
      position: water ? 'not fully open' : 'not fully open, probably shut',
      certainty: water ? 0.5 : 0.8,
      why: `Its switch reports off normal since ${timeOf(facts, closed)}; that says "not fully open" only${water ? ', and water is still reported' : ''}.`,
      evidence: [closed, ...(flow === undefined ? [] : [flow])].map(({ ref }) => ref),
    };
  }
  const restored = facts.closing?.end;
  if (restored !== undefined)
    return {
      position: 'open',
      certainty: 0.95,
      why: `Its switch restored at ${timeOf(facts, restored)}, which it does only fully open.`,
      evidence: [restored.ref],
    };
  if (flow !== undefined)
    return {
      position: 'open',
      certainty: 0.8,
      why: 'Its switch is at rest and water is reported.',
      evidence: [flow.ref],
    };
  return {
    position: 'open',
    certainty: 0.6,
    why: 'Its switch has reported nothing off normal; a dead switch would look the same.',
  };
}

function clapper(facts: Facts): Belief {
  const flow = activeSince(facts, 'waterflow');
  const low = activeSince(facts, 'prime-pressure-low');
  const trip = lastTrip(facts);
  const test = facts.flow?.testWindow !== undefined && facts.flow.release === undefined;
  if (flow !== undefined && !test) {
    if (low !== undefined)
      return {
        position: 'open',
        certainty: 0.97,
        why: 'Water is reported and the priming chamber has lost its pressure.',
        evidence: [flow.ref, low.ref],
      };
    return {
      position: 'open',
      certainty: facts.release === undefined ? 0.5 : 0.8,
      why: 'Water is reported; nothing reports the chamber vented, so the alarm line alone may hold pressure.',
      evidence: [flow.ref],
    };
  }
  if (facts.open && trip !== undefined && low !== undefined)
    return {
      position: 'unknown',
      certainty: 0.4,
      why: 'It may have opened in this episode; seating itself gives no signal.',
      evidence: [trip.ref, low.ref],
    };
  if (facts.open && facts.release !== undefined && facts.release.end === undefined && flow === undefined)
    return {
      position: 'unknown',
      certainty: 0.3,
      why: 'The release acted and no water is reported.',
      evidence: [facts.release.begin.ref],
    };
  const back = facts.episode?.primeBack;
  if (facts.open && trip !== undefined && back !== undefined)
    return {
      position: 'shut',
      certainty: 0.85,
      why: `Priming pressure came back at ${timeOf(facts, back)}, which holds it shut.`,
      evidence: [back.ref],
    };
  if (low !== undefined)
    return {
      position: 'shut',
      certainty: 0.6,
      why: 'Priming pressure is low and no water is reported: it may open.',
      evidence: [low.ref],
    };
  return {
    position: 'shut',
    certainty: facts.picture.heard === undefined ? 0.3 : 0.9,
    why: 'No release, no low priming pressure and no water is reported.',
  };
}

function solenoid(facts: Facts): Belief {
  if (!hasPoint(facts.profile, 'solenoid'))
    return { position: 'unknown', certainty: 0, why: 'This riser does not report its release solenoid.' };
  const on = activeSince(facts, 'solenoid');
  if (on !== undefined)
    return {
      position: 'energized',
      certainty: 0.95,
      why: `The panel reports it energized since ${timeOf(facts, on)}; that it opened shows in the priming pressure.`,
      evidence: [on.ref],
    };
  const end = facts.release?.end;
  return end === undefined
    ? { position: 'at rest', certainty: 0.8, why: 'The panel has not reported it energized.' }
    : {
        position: 'at rest',
        certainty: 0.9,
        why: `The panel reported it at rest at ${timeOf(facts, end)}; debris can still hold it open.`,
        evidence: [end.ref],
      };
}

function primeChamber(facts: Facts): Belief {
  if (!hasPoint(facts.profile, 'prime-pressure-low'))
    return { position: 'unknown', certainty: 0, why: 'This riser does not report its priming pressure.' };
  const low = activeSince(facts, 'prime-pressure-low');
  if (low !== undefined)
    return {
      position: 'vented',
      certainty: 0.9,
      why: `Priming pressure is reported low since ${timeOf(facts, low)}.`,
      evidence: [low.ref],
    };
  const back = facts.episode?.primeBack;
  if (back !== undefined)
    return {
      position: 'pressurised',
      certainty: 0.95,
      why: `Priming pressure was reported back at ${timeOf(facts, back)}.`,
      evidence: [back.ref],
    };
  return {
    position: 'pressurised',
    certainty: 0.8,
    why: 'Priming pressure has not been reported low; a dead switch would look the same.',
  };
}

function primeValve(facts: Facts): Belief {
  const shut = activeSince(facts, 'prime-valve');
  if (shut !== undefined)
    return {
      position: 'not fully open',
      certainty: 0.9,
      why: `Its switch reports off normal since ${timeOf(facts, shut)}.`,
      evidence: [shut.ref],
    };
  const back = facts.episode?.primeBack;
  if (back !== undefined)
    return {
      position: 'open',
      certainty: 0.85,
      why: 'Priming pressure returned, so priming water arrives.',
      evidence: [back.ref],
    };
  return hasPoint(facts.profile, 'prime-valve')
    ? { position: 'open', certainty: 0.7, why: 'Its switch has reported nothing off normal.' }
    : {
        position: 'unknown',
        certainty: 0,
        why: 'This riser does not report its priming valve, and priming pressure has not come back in this episode to show it.',
      };
}

function alarmLine(facts: Facts, now: Instant): Belief {
  if (!hasPoint(facts.profile, 'waterflow'))
    return { position: 'unknown', certainty: 0, why: 'This riser does not report waterflow.' };
  const flow = activeSince(facts, 'waterflow');
  if (flow !== undefined)
    return {
      position: 'pressurised',
      certainty: supplyClosed(facts) ? 0.6 : 0.9,
      why:
        openTest(facts.picture, now) === undefined
          ? `The waterflow switch reports since ${timeOf(facts, flow)}.`
          : 'The waterflow switch reports, in an announced test.',
      evidence: [flow.ref],
    };
  const end = facts.flow?.end;
  return end === undefined
    ? { position: 'without pressure', certainty: 0.8, why: 'No waterflow is reported.' }
    : {
        position: 'without pressure',
        certainty: 0.9,
        why: `The waterflow switch restored at ${timeOf(facts, end)}.`,
        evidence: [end.ref],
      };
}
