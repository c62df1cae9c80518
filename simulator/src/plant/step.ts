import { stepChamber } from './chamber.ts';
import { coupleClapper } from './couple.ts';
import type { FoundEvent } from './event.ts';
import { stepLine } from './line.ts';
import { stepNetwork } from './network.ts';
import type { Parameters } from './parameters.ts';
import { settle } from './settle.ts';
import { draftOf } from './state.ts';
import type { Draft, PlantState } from './state.ts';

/** How the controller chooses its steps. */
export interface Solver {
  /** The most any watched quantity should change in a step, as a share of its range. */
  readonly tolerance: number;
  /** An event is accepted in a step no longer than this. */
  readonly locate_s: number;
  /** A step this short is accepted whatever it changes. */
  readonly shortest_s: number;
  readonly longest_s: number;
}

/** The solver of the plant; change it and every recorded run changes. */
export const standardSolver: Solver = { tolerance: 0.02, locate_s: 0.005, shortest_s: 0.0005, longest_s: 900 };

/** A step that was accepted: where it led and what it found. */
export interface Step {
  readonly state: PlantState;
  readonly found: readonly FoundEvent[];
}

/** The longest step allowed from outside: up to here, where parameters or commands change. */
export interface StepLimits {
  readonly until_s: number;
  readonly solver: Solver;
}

/**
 * One natural step: as long as the controller thinks fit, never over a timer or `until_s`. It depends on the state, the
 * parameters and the solver only. A step that changes too much, or in which something happens, is dropped and tried
 * again with a quarter of its length.
 */
export function naturalStep(from: PlantState, parameters: Parameters, { solver, until_s }: StepLimits): Step {
  const end_s = Math.min(until_s, nextTimer_s(from));
  let wanted_s = from.nextStep_s;
  let coupled = from.coupled;
  for (;;) {
    const draft = draftOf(from);
    draft.coupled = coupled;
    const clipped = from.at_s + wanted_s >= end_s;
    integrate(draft, parameters, clipped ? end_s : from.at_s + wanted_s);
    const step_s = draft.at_s - from.at_s;
    const change = largestChange(from, draft, parameters);
    if (!coupled && flutters(from, draft, parameters, solver)) {
      coupled = true;
      continue;
    }
    if (change > 2 * solver.tolerance && step_s > solver.shortest_s) {
      wanted_s = step_s / 4;
      continue;
    }
    const { changes, found } = settle(from, draft, parameters);
    if (changes > 0 && step_s > solver.locate_s) {
      wanted_s = step_s / 4;
      continue;
    }
    const grown_s = step_s * Math.min(2, Math.max(0.25, (0.9 * solver.tolerance) / (change + 1e-12)));
    const next_s = clipped && change < solver.tolerance ? Math.max(grown_s, from.nextStep_s) : grown_s;
    draft.coupled = coupled && draft.clapper > 0 && draft.clapper < 1;
    draft.nextStep_s = Math.min(solver.longest_s, Math.max(solver.shortest_s, next_s));
    return { state: draft, found: found.toSorted((a, b) => a.exact_s - b.exact_s) };
  }
}

/** The state at a moment inside a natural step, with the discrete part as it was at its start. */
export function partialStep(from: PlantState, parameters: Parameters, at_s: number): Draft {
  const draft = draftOf(from);
  if (at_s > from.at_s) integrate(draft, parameters, at_s);
  return draft;
}

/** The next moment no step may pass over: the end of a ramp, of a retard, a false change. */
function nextTimer_s(state: PlantState): number {
  let next_s = Infinity;
  for (let index = 0; index < state.position.length; index += 1) {
    const way = Math.abs((state.target[index] ?? 0) - (state.position[index] ?? 0));
    if (way > 0) next_s = Math.min(next_s, state.at_s + way / (state.speed[index] ?? 1));
  }
  for (const pending_s of state.pendingAt_s) next_s = Math.min(next_s, pending_s);
  for (const bounce_s of state.bounceAt_s) next_s = Math.min(next_s, bounce_s);
  return next_s;
}

function integrate(draft: Draft, parameters: Parameters, to_s: number): void {
  const step_s = to_s - draft.at_s;
  moveValves(draft, step_s);
  if (draft.coupled) coupleClapper(draft, parameters, step_s);
  stepChamber(draft, parameters, step_s);
  stepNetwork(draft, parameters, step_s);
  stepLine(draft, parameters, step_s);
  draft.at_s = to_s;
}

/** The rounding error of a clock that has run for years must not leave a ramp a step short. */
const arrival_s = 1e-6;

function moveValves(draft: Draft, step_s: number): void {
  for (let index = 0; index < draft.position.length; index += 1) {
    const [position, target] = [draft.position[index] ?? 0, draft.target[index] ?? 0];
    if (position === target) continue;
    const travel = (draft.speed[index] ?? 1) * step_s;
    const arrives = travel >= Math.abs(target - position) - (draft.speed[index] ?? 1) * arrival_s;
    draft.position = draft.position.with(index, arrives ? target : position + Math.sign(target - position) * travel);
  }
}

/** The clapper moved and the pressure below it changed more than a step should. */
const flutters = (from: PlantState, to: PlantState, { supply }: Parameters, { tolerance }: Solver): boolean =>
  (to.clapper !== from.clapper || from.clapper > 0) &&
  Math.abs(to.inlet_Pa - from.inlet_Pa) > 2 * tolerance * supply.static_Pa;

/** A turning valve may go a tenth of its travel in a step whose other quantities may change by the tolerance 0.02. */
const travelWeight = 0.2;

/** Filling and draining are first order, and their ends are what is waited for. */
const waterWeight = 3;

/** Pressures below a tenth of the static pressure are followed in proportion to themselves. */
const lowPressureShare = 0.02;

function largestChange(from: PlantState, to: PlantState, { piping, supply }: Parameters): number {
  const full_Pa = supply.static_Pa;
  let change = Math.abs(to.chamber_Pa - from.chamber_Pa) / full_Pa;
  change = Math.max(change, Math.abs(to.outlet_Pa - from.outlet_Pa) / full_Pa);
  change = Math.max(change, Math.abs(to.inlet_Pa - from.inlet_Pa) / full_Pa);
  change = Math.max(change, Math.abs(to.clapper - from.clapper));
  change = Math.max(change, (waterWeight * Math.abs(to.pipingWater_m3 - from.pipingWater_m3)) / piping.total_m3);
  change = Math.max(change, lineChange(from, to, full_Pa));
  for (let index = 0; index < from.position.length; index += 1)
    change = Math.max(change, travelWeight * Math.abs((to.position[index] ?? 0) - (from.position[index] ?? 0)));
  return change;
}

/** The bleed-down lasts longest at low pressure, where its threshold lies, so it is followed in proportion. */
const lineChange = (from: PlantState, to: PlantState, full_Pa: number): number =>
  Math.abs(to.line_Pa - from.line_Pa) / (Math.min(from.line_Pa, to.line_Pa) + lowPressureShare * full_Pa) / 2;
