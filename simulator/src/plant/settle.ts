import { bounceContacts, crossing_s, settleContacts, turnContact } from './contacts.ts';
import type { Settling } from './contacts.ts';
import { told_s } from './event.ts';
import type { FoundEvent, Milestone } from './event.ts';
import { valveNames } from './names.ts';
import type { Parameters } from './parameters.ts';
import type { Draft, PlantState } from './state.ts';

/** Share of the volume below which the pipes no longer count as full [choice]. */
const stillFull = 0.9;
/** Share from which they do: not quite all, since the alarm line takes its sip at the same time. */
const nowFull = 0.999;
/** The drip opens again well below the pressure that shut it. */
const dripReopens = 0.5;

/**
 * Turns what a step did to the continuous quantities into what changed in the discrete ones: contacts, the relief, the
 * drip, full and empty pipes, the clapper's ends, ramps that came to rest. Found by level, not by edge, so a change that
 * a command cut off is found again by the next step.
 */
export function settle(from: PlantState, draft: Draft, parameters: Parameters): Settling {
  const contacts = settleContacts(from, draft, parameters);
  const passed = [settleRelief(from, draft, parameters), settlePipes(parameters, draft), settleClapper(draft)].filter(
    (event) => event !== undefined,
  );
  const drip = settleDrip(draft, parameters) ? 1 : 0;
  const timed = [...bounceContacts(draft, parameters), ...valvesAtRest(draft)];
  return { found: [...contacts.found, ...passed, ...timed], changes: contacts.changes + passed.length + drip };
}

const milestone = (at_s: number, name: Milestone): FoundEvent => ({
  exact_s: at_s,
  event: { type: 'milestone', at_s: told_s(at_s), milestone: name },
});

const span = (from: PlantState, draft: PlantState): { readonly from_s: number; readonly to_s: number } => ({
  from_s: from.at_s,
  to_s: draft.at_s,
});

function settleRelief(from: PlantState, draft: Draft, { relief }: Parameters): FoundEvent | undefined {
  if (relief.stuck !== undefined) {
    draft.reliefOpen = relief.stuck === 'open';
    return undefined;
  }
  const turns = draft.reliefOpen ? draft.outlet_Pa < relief.shuts_Pa : draft.outlet_Pa > relief.opens_Pa;
  if (!turns) return undefined;
  const threshold = draft.reliefOpen ? relief.shuts_Pa : relief.opens_Pa;
  draft.reliefOpen = !draft.reliefOpen;
  const at_s = crossing_s({ before: from.outlet_Pa, after: draft.outlet_Pa, ...span(from, draft) }, threshold);
  return milestone(at_s, draft.reliefOpen ? 'relief-opened' : 'relief-shut');
}

function settleDrip(draft: Draft, { drip }: Parameters): boolean {
  const shut = draft.dripShut ? draft.outlet_Pa >= dripReopens * drip.shuts_Pa : draft.outlet_Pa > drip.shuts_Pa;
  const turned = shut !== draft.dripShut;
  draft.dripShut = shut;
  return turned;
}

function settlePipes({ piping }: Parameters, draft: Draft): FoundEvent | undefined {
  const { pipingFull, pipingWater_m3 } = draft;
  const turns = pipingFull ? pipingWater_m3 < stillFull * piping.total_m3 : pipingWater_m3 >= nowFull * piping.total_m3;
  if (!turns) return undefined;
  draft.pipingFull = !pipingFull;
  return milestone(draft.at_s, pipingFull ? 'piping-no-longer-full' : 'piping-full');
}

function settleClapper(draft: Draft): FoundEvent | undefined {
  const before = draft.clapperPhase;
  draft.clapperPhase = clapperPhase(draft.clapper);
  if (before === draft.clapperPhase) return undefined;
  if (draft.clapperPhase === 'seated') return milestone(draft.at_s, 'clapper-seated');
  if (draft.clapperPhase === 'open') return milestone(draft.at_s, 'clapper-open');
  return before === 'seated' ? milestone(draft.at_s, 'clapper-lifted') : undefined;
}

const clapperPhase = (opening: number): PlantState['clapperPhase'] =>
  opening === 0 ? 'seated' : opening === 1 ? 'open' : 'moving';

/** A valve that was sent somewhere and is there: told once, its speed then put to nothing. */
function valvesAtRest(draft: Draft): readonly FoundEvent[] {
  const found: FoundEvent[] = [];
  for (const [index, valve] of valveNames.entries()) {
    const position = draft.position[index] ?? 0;
    if (draft.speed[index] === 0 || position !== draft.target[index]) continue;
    draft.speed = draft.speed.with(index, 0);
    const event = { type: 'valve-at-rest', at_s: told_s(draft.at_s), valve, position } as const;
    found.push({ exact_s: draft.at_s, event });
  }
  return found;
}

/**
 * Carries what was already found, and told, into a state that a command cut out of the step that found it. What was not
 * told yet is left to the next step.
 */
export function carryOver(draft: Draft, found: readonly FoundEvent[], parameters: Parameters): void {
  for (const { event, exact_s } of found) {
    if (exact_s > draft.at_s) continue;
    if (event.type === 'contact') turnContact(draft, parameters, event);
    if (event.type === 'milestone') passMilestone(draft, event.milestone);
  }
}

function passMilestone(draft: Draft, milestone: Milestone): void {
  switch (milestone) {
    case 'relief-opened':
    case 'relief-shut':
      draft.reliefOpen = milestone === 'relief-opened';
      return;
    case 'piping-full':
    case 'piping-no-longer-full':
      draft.pipingFull = milestone === 'piping-full';
      return;
    case 'clapper-lifted':
    case 'clapper-open':
    case 'clapper-seated':
      draft.clapperPhase = clapperPhase(draft.clapper);
  }
}
