import { columnPressure_Pa } from '@tidemark/hydraulics';
import { checkedFlow_m3_s, clapperConstant, openConstant, supplyValveConstant } from './openings.ts';
import type { Parameters } from './parameters.ts';
import { power185 } from './power.ts';
import { increasingRoot } from './root.ts';
import type { Draft, PlantState } from './state.ts';

/** Depth of water in an overhead pipe that empties through its nozzles [choice: half of a 12 in drop]. */
const overheadHead_Pa = columnPressure_Pa(0.15);
/** Where a shut valve makes the residual a flow instead of a pressure: pascals for a cubic metre in a second. */
const flowAsPressure = 1e12;
const residual_Pa = 0.05;

/** Flow constants of what is open during a step. */
interface Openings {
  readonly supply: number;
  readonly clapper: number;
  readonly outletDrains: number;
  readonly supplyDrain: number;
}

/**
 * One step of the network from the supply to the nozzles. Pressures and flows are quasi-steady: one unknown, the flow
 * into the dry piping, and every other value follows from it; the water in the piping is updated implicitly inside that
 * one root. A seated clapper makes two roots of it, each alone.
 *
 * The trickles of the trim (priming, alarm test) are counted as water drawn but do not load the supply curve.
 */
export function stepNetwork(draft: Draft, parameters: Parameters, step_s: number): void {
  const open = openings(draft, parameters);
  const water_m3 = draft.pipingWater_m3;
  const aside_m3_s = parameters.supplyDrainUpstream ? checkedFlow_m3_s(open.supplyDrain, draft.supply_Pa) : 0;
  const below = parameters.supplyDrainUpstream ? { ...open, supplyDrain: 0 } : open;
  const context = { draft, parameters, open: below, aside_m3_s, water_m3, step_s };
  if (below.clapper > 0) joined(context);
  else apart(context);
  if (parameters.supplyDrainUpstream) draft.supplyDrain_m3_s = aside_m3_s;
  draft.nozzles_m3_s = draft.intoPiping_m3_s - (draft.pipingWater_m3 - water_m3) / step_s;
  draft.supplied_m3 += step_s * (draft.drawn_m3_s + aside_m3_s);
  draft.sprayed_m3 += step_s * draft.nozzles_m3_s;
  draft.drained_m3 += step_s * (draft.outletDrains_m3_s + draft.supplyDrain_m3_s);
}

/** Pressure the supply keeps while so much is drawn from it. */
export function supplied_Pa({ supply }: Parameters, drawn_m3_s: number): number {
  return supply.static_Pa + supply.shift_Pa - supply.drop_Pa * power185(drawn_m3_s / supply.testFlow_m3_s);
}

interface Context {
  readonly draft: Draft;
  readonly parameters: Parameters;
  readonly open: Openings;
  /** Drawn from the supply ahead of its valve. */
  readonly aside_m3_s: number;
  /** In the piping at the start of the step. */
  readonly water_m3: number;
  readonly step_s: number;
}

function openings(state: PlantState, parameters: Parameters): Openings {
  return {
    supply: supplyValveConstant(state, parameters),
    clapper: clapperConstant(state, parameters),
    outletDrains:
      openConstant(state, parameters, 'system-drain') +
      openConstant(state, parameters, 'auxiliary-drain') +
      (state.dripShut ? 0 : parameters.drip.open_m3_s_sqrtPa),
    supplyDrain: openConstant(state, parameters, 'supply-drain'),
  };
}

/** The clapper lets water by: the flow into the piping that makes supply and riser agree at the inlet. */
function joined(context: Context): void {
  const { draft, open, parameters } = context;
  const search = {
    guess: draft.intoPiping_m3_s,
    stride: 1e-7 + 0.02 * Math.abs(draft.intoPiping_m3_s),
    low: -(open.outletDrains + open.supplyDrain + open.supply) * Math.sqrt(parameters.piping.column_Pa) - 1e-4,
    high: 20 * parameters.supply.testFlow_m3_s,
    residual: residual_Pa,
  };
  const found = increasingRoot((into_m3_s) => disagreement_Pa(context, into_m3_s), search);
  disagreement_Pa(context, found);
  // A supply with less pressure than the riser's column does not take the riser's water back: it has a check.
  if (draft.drawn_m3_s >= 0 || open.supply === 0) return;
  joined({ ...context, open: { ...open, supply: 0 } });
}

/** Sets every pressure and flow that follows from a flow into the piping; returns inlet less supply. */
function disagreement_Pa(context: Context, into_m3_s: number): number {
  const { aside_m3_s, draft, open, parameters } = context;
  settlePiping(context, into_m3_s);
  draft.outletDrains_m3_s = checkedFlow_m3_s(open.outletDrains, draft.outlet_Pa);
  const through_m3_s = into_m3_s + draft.outletDrains_m3_s;
  draft.through_m3_s = through_m3_s;
  draft.inlet_Pa = draft.outlet_Pa + (through_m3_s * Math.abs(through_m3_s)) / (open.clapper * open.clapper);
  draft.supplyDrain_m3_s = checkedFlow_m3_s(open.supplyDrain, draft.inlet_Pa);
  const drawn_m3_s = through_m3_s + draft.supplyDrain_m3_s;
  draft.drawn_m3_s = open.supply > 0 ? drawn_m3_s : 0;
  draft.supply_Pa = supplied_Pa(parameters, draft.drawn_m3_s + aside_m3_s);
  if (open.supply === 0) return flowAsPressure * drawn_m3_s;
  return draft.inlet_Pa + (drawn_m3_s * Math.abs(drawn_m3_s)) / (open.supply * open.supply) - draft.supply_Pa;
}

/** The clapper is tight: the riser empties by itself, and the inlet stands at what the supply gives. */
function apart(context: Context): void {
  const { aside_m3_s, draft, open, parameters } = context;
  draft.through_m3_s = 0;
  const unbalanced = (into_m3_s: number): number => {
    settlePiping(context, into_m3_s);
    draft.outletDrains_m3_s = checkedFlow_m3_s(open.outletDrains, draft.outlet_Pa);
    return flowAsPressure * (into_m3_s + draft.outletDrains_m3_s);
  };
  const low = -open.outletDrains * Math.sqrt(parameters.piping.column_Pa) - 1e-9;
  const search = { guess: draft.intoPiping_m3_s, stride: 1e-5, low, high: 1e-9, residual: residual_Pa };
  unbalanced(context.water_m3 > 0 ? increasingRoot(unbalanced, search) : 0);
  drawnThroughInlet(context);
  draft.supply_Pa = supplied_Pa(parameters, draft.drawn_m3_s + aside_m3_s);
}

/** What the supply drain takes below the supply valve. A shut valve with the drain shut keeps the pressure it had. */
function drawnThroughInlet({ aside_m3_s, draft, open, parameters }: Context): void {
  if (open.supply === 0) {
    if (open.supplyDrain > 0) draft.inlet_Pa = 0;
    draft.drawn_m3_s = 0;
    draft.supplyDrain_m3_s = 0;
    return;
  }
  const inlet_Pa = (drawn_m3_s: number): number =>
    supplied_Pa(parameters, drawn_m3_s + aside_m3_s) - (drawn_m3_s * drawn_m3_s) / (open.supply * open.supply);
  const high = 20 * parameters.supply.testFlow_m3_s;
  const unbalanced = (drawn_m3_s: number): number =>
    flowAsPressure * (drawn_m3_s - checkedFlow_m3_s(open.supplyDrain, inlet_Pa(drawn_m3_s)));
  const search = { guess: draft.drawn_m3_s, stride: 1e-3, low: 0, high, residual: residual_Pa };
  draft.drawn_m3_s = open.supplyDrain > 0 ? increasingRoot(unbalanced, search) : 0;
  draft.inlet_Pa = Math.max(0, inlet_Pa(draft.drawn_m3_s));
  draft.supplyDrain_m3_s = draft.drawn_m3_s;
}

/**
 * Water and pressure of the piping after a step with a given flow into it. Riser first, then main and branches; the
 * share of the overhead pipes that holds water is the share of the nozzles that run, under half the filling loss since it
 * falls evenly along them.
 */
function settlePiping({ draft, parameters, step_s, water_m3 }: Context, into_m3_s: number): void {
  const { piping } = parameters;
  const overhead_m3 = piping.total_m3 - piping.riser_m3;
  const forward_m3_s = Math.max(0, into_m3_s);
  const loss_Pa = draft.pipingFull
    ? fullLoss_Pa(parameters, forward_m3_s)
    : piping.fill_Pa_s2_m6 * (water_m3 / piping.total_m3) * forward_m3_s * forward_m3_s;
  const head_Pa = draft.pipingFull ? overheadHead_Pa : loss_Pa / 2 + overheadHead_Pa;
  const running = (step_s * piping.nozzles_m3_s_sqrtPa * Math.sqrt(head_Pa)) / overhead_m3;
  const inflow_m3 = water_m3 + step_s * into_m3_s;
  const after_m3 = inflow_m3 > piping.riser_m3 ? (inflow_m3 + running * piping.riser_m3) / (1 + running) : inflow_m3;
  draft.intoPiping_m3_s = into_m3_s;
  draft.pipingWater_m3 = Math.min(piping.total_m3, Math.max(0, after_m3));
  draft.outlet_Pa = piping.column_Pa * Math.min(1, draft.pipingWater_m3 / piping.riser_m3) + loss_Pa;
}

function fullLoss_Pa({ piping, supply }: Parameters, into_m3_s: number): number {
  const share = into_m3_s / supply.testFlow_m3_s;
  return piping.square_Pa * share * share + piping.friction_Pa * power185(share);
}
