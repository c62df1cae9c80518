import { createHash } from 'node:crypto';
import { invariant } from '@tidemark/kernel';
import { atmosphere_Pa } from '@tidemark/hydraulics';
import type { RiserFigures } from '@tidemark/hydraulics';
import { madeBy, watched } from './contacts.ts';
import type { FoundEvent, PlantEvent } from './event.ts';
import { contactNames, valveIndex, valveNames } from './names.ts';
import type { ValveName } from './names.ts';
import type { Parameters } from './parameters.ts';
import type { PlantFault } from './patch.ts';
import { patchedParameters } from './patched.ts';
import { carryOver } from './settle.ts';
import type { Draft, PlantState } from './state.ts';
import { naturalStep, partialStep, standardSolver } from './step.ts';
import type { Solver, Step } from './step.ts';

/**
 * A riser and its history up to a moment. A value: every operation returns another plant.
 *
 * Its trajectory is a chain of natural steps, each depending on the state before it alone. Asking looks into the chain
 * and never cuts it; only a command or the edge of a fault cuts the step it falls in. So the same commands give the same
 * bytes however often and whenever somebody looked.
 */
export interface Plant {
  readonly figures: RiserFigures;
  readonly faults: readonly PlantFault[];
  readonly solver: Solver;
  /** Up to here events have been handed out. */
  readonly seen_s: number;
  /** The last state of the chain that is not after `seen_s`, and the step that leads beyond. */
  readonly state: PlantState;
  readonly ahead: Step;
  readonly setting: Setting;
}

/** The parameters in force, and when they change. */
export interface Setting {
  readonly parameters: Parameters;
  readonly until_s: number;
}

/** What somebody or something does to the riser. */
export type PlantCommand =
  | {
      readonly type: 'move';
      readonly valve: ValveName;
      /** 0 shut to 1 open; for the solenoid 1 is energized. */
      readonly to: number;
      /** How long it takes; otherwise in proportion to the valve's full turn. */
      readonly over_s?: number;
    }
  | { readonly type: 'fault'; readonly fault: PlantFault }
  | { readonly type: 'mend'; readonly id: string };

/** A plant, and what happened on the way to it. */
export interface Advanced {
  readonly plant: Plant;
  readonly events: readonly PlantEvent[];
}

/** Three years: beyond it a clock in seconds is too coarse for the shortest steps. */
const latestStart_s = 1e8;

/** A riser in standby: supply open, chamber under pressure, piping dry. `at_s` is the start of its clock. */
export function createPlant(
  figures: RiserFigures,
  {
    at_s = 0,
    faults = [],
    solver = standardSolver,
  }: Partial<Pick<Plant, 'faults' | 'solver'>> & { at_s?: number } = {},
): Plant {
  invariant(Math.abs(at_s) <= latestStart_s, 'the clock of a plant starts near nought, not at an epoch');
  const setting = settingAt({ figures, faults }, at_s);
  const state = standby(setting.parameters, at_s);
  return resumed({ figures, faults, solver, seen_s: at_s, state, setting });
}

/** The plant at a later moment, and every event after the last one handed out up to and including that moment. */
export function advance(plant: Plant, until_s: number): Advanced {
  invariant(until_s >= plant.seen_s, 'a plant only goes forward');
  const events: PlantEvent[] = [];
  const collect = (found: readonly FoundEvent[]): void => {
    for (const { event, exact_s } of found) if (exact_s > plant.seen_s && exact_s <= until_s) events.push(event);
  };
  let now = plant;
  while (now.ahead.state.at_s <= until_s) {
    collect(now.ahead.found);
    now = stepped(now);
  }
  collect(now.ahead.found);
  return { plant: { ...now, seen_s: until_s }, events };
}

/** Applies a command at a moment not before anything already told; hands out the events up to that moment. */
export function command(plant: Plant, at_s: number, given: PlantCommand): Advanced {
  const { events, plant: there } = advance(plant, at_s);
  const draft = stateAt(there, at_s);
  draft.nextStep_s = there.solver.shortest_s;
  const faults = faultsAfter(there.faults, given);
  if (given.type === 'move') move(draft, there.setting.parameters, given);
  const setting = given.type === 'move' ? there.setting : settingAt({ figures: there.figures, faults }, at_s);
  enter(draft, setting.parameters);
  return { plant: resumed({ ...there, faults, setting, state: draft }), events };
}

/** The first event after what was handed out and not after `until_s`, if nothing is done meanwhile. */
export function nextEvent(plant: Plant, until_s: number): PlantEvent | undefined {
  let now = plant;
  for (;;) {
    const first = now.ahead.found.find(({ exact_s }) => exact_s > plant.seen_s);
    if (first !== undefined) return first.exact_s <= until_s ? first.event : undefined;
    if (now.ahead.state.at_s > until_s) return undefined;
    now = stepped(now);
  }
}

/** A digest of everything the plant's future depends on. */
export function plantHash({ faults, state }: Plant): string {
  const exact = (_key: string, value: unknown): unknown => (typeof value === 'number' ? String(value) : value);
  return createHash('sha256')
    .update(JSON.stringify([state, faults], exact))
    .digest('hex');
}

/** The state at a moment within the step ahead, with every event up to it in its discrete part. */
export function stateAt(plant: Plant, at_s: number): Draft {
  const { parameters } = plant.setting;
  const draft = partialStep(plant.state, parameters, at_s);
  carryOver(draft, plant.ahead.found, parameters);
  return draft;
}

type Restart = Omit<Plant, 'ahead'>;

/** A plant with the step that follows its state. */
const resumed = (plant: Restart): Plant => ({
  ...plant,
  ahead: naturalStep(plant.state, plant.setting.parameters, { until_s: plant.setting.until_s, solver: plant.solver }),
});

/** One natural step on; where a fault begins or ends, with the parameters that hold from there. */
function stepped(plant: Plant): Plant {
  const state = plant.ahead.state;
  if (state.at_s < plant.setting.until_s) return resumed({ ...plant, state });
  const setting = settingAt(plant, state.at_s);
  const draft = partialStep(state, setting.parameters, state.at_s);
  draft.nextStep_s = plant.solver.shortest_s;
  enter(draft, setting.parameters);
  return resumed({ ...plant, state: draft, setting });
}

function settingAt({ faults, figures }: Pick<Plant, 'figures' | 'faults'>, at_s: number): Setting {
  const holds = faults.filter(({ from_s, until_s }) => from_s <= at_s && at_s < (until_s ?? Infinity));
  const edges = faults.flatMap(({ from_s, until_s }) => [from_s, until_s ?? Infinity]).filter((edge) => edge > at_s);
  const patches = holds.map(({ patch }) => patch);
  return { parameters: patchedParameters(figures, patches), until_s: Math.min(Infinity, ...edges) };
}

function faultsAfter(faults: readonly PlantFault[], given: PlantCommand): readonly PlantFault[] {
  switch (given.type) {
    case 'move':
      return faults;
    case 'fault':
      return [...faults.filter(({ id }) => id !== given.fault.id), given.fault];
    case 'mend':
      return faults.filter(({ id }) => id !== given.id);
  }
}

function move(draft: Draft, { valves }: Parameters, { over_s, to, valve }: PlantCommand & { type: 'move' }): void {
  invariant(to >= 0 && to <= 1, 'a valve is moved to between shut and open');
  const index = valveIndex[valve];
  const way = Math.abs(to - (draft.position[index] ?? 0));
  const full_s = valves[index]?.stroke_s ?? 1;
  const speed = over_s !== undefined && way > 0 ? way / Math.max(over_s, 1e-3) : 1 / Math.max(full_s, 1e-3);
  draft.target = draft.target.with(index, to);
  draft.speed = draft.speed.with(index, speed);
}

/** Air that a fault puts into the chamber is there at once and pushes its volume of water out of the way. */
function enter(draft: Draft, { chamber }: Parameters): void {
  const more_J = chamber.airFloor_J - draft.chamberAir_J;
  if (more_J <= 0) return;
  const displaced_m3 = more_J / (draft.chamber_Pa + atmosphere_Pa);
  draft.chamberAir_J += more_J;
  draft.chamberWater_m3 -= displaced_m3;
  draft.vented_m3 += displaced_m3;
}

function standby(parameters: Parameters, at_s: number): PlantState {
  const supply_Pa = parameters.supply.static_Pa + parameters.supply.shift_Pa;
  const chamber_Pa = supply_Pa - parameters.prime.crack_Pa;
  const air_J = parameters.chamber.airFloor_J;
  const position = valveNames.map((name) => (name === 'supply' || name === 'prime' || name === 'alarm-line' ? 1 : 0));
  const state: PlantState = {
    at_s,
    nextStep_s: 1,
    chamberWater_m3: parameters.chamber.volume_m3 - air_J / (chamber_Pa + atmosphere_Pa),
    chamberAir_J: air_J,
    clapper: 0,
    clapperPhase: 'seated',
    coupled: false,
    pipingWater_m3: 0,
    pipingFull: false,
    lineWater_m3: 0,
    reliefOpen: false,
    dripShut: false,
    supply_Pa,
    inlet_Pa: supply_Pa,
    outlet_Pa: 0,
    chamber_Pa,
    line_Pa: 0,
    switch_Pa: 0,
    drawn_m3_s: 0,
    through_m3_s: 0,
    intoPiping_m3_s: 0,
    nozzles_m3_s: 0,
    outletDrains_m3_s: 0,
    supplyDrain_m3_s: 0,
    priming_m3_s: 0,
    vents_m3_s: 0,
    test_m3_s: 0,
    supplied_m3: 0,
    sprayed_m3: 0,
    drained_m3: 0,
    vented_m3: 0,
    position,
    target: position,
    speed: position.map(() => 0),
    active: contactNames.map(() => false),
    pendingAt_s: contactNames.map(() => Infinity),
    bounces: contactNames.map(() => 0),
    bounceAt_s: contactNames.map(() => Infinity),
  };
  const active = contactNames.map((name, index) => {
    const rule = parameters.contacts[index];
    return rule !== undefined && madeBy(rule, watched(state, parameters, name));
  });
  return { ...state, active };
}
