import { atmosphere_Pa, waterDensity_kg_m3 } from '@tidemark/hydraulics';
import { checkedFlow_m3_s, openConstant, position } from './openings.ts';
import type { Parameters } from './parameters.ts';
import { increasingRoot } from './root.ts';
import type { Draft, PlantState } from './state.ts';

/** Density of air at 20 °C, kg/m³ (textbook). */
const airDensity_kg_m3 = 1.2;
/** A vent passes so much more air than water under the same pressure. */
const airOverWater = Math.sqrt(waterDensity_kg_m3 / airDensity_kg_m3);
/** Share of the priming flow that carries air out while a vent is open [choice]. */
const purgeShare = 0.5;
/** A tenth of a cubic millimetre. */
const residual_m3 = 1e-13;

/** What is open to the chamber during a step, and what presses on the clapper. */
interface Surroundings {
  readonly source_Pa: number;
  readonly prime_m3_s_sqrtPa: number;
  readonly checkLeak_m3_s_sqrtPa: number;
  readonly crack_Pa: number;
  readonly vents_m3_s_sqrtPa: number;
  /** Chamber pressure that balances the clapper seated, and how far it falls over the stroke. */
  readonly balance_Pa: number;
  readonly balanceFall_Pa: number;
}

/**
 * One implicit step of chamber and clapper. The clapper is a hydraulic piston: given the water in the chamber, its place
 * follows from the balance of forces, so there is no equation of motion and no unphysical chatter. The possible states
 * form one curve (seated at any pressure above balance, moving at balance, open at any pressure below it) along which
 * the chamber's water falls; the step finds the point of the curve that its own flows lead to.
 */
export function stepChamber(draft: Draft, parameters: Parameters, step_s: number): void {
  const around = surroundings(draft, parameters);
  const excess = excessVolume(draft, parameters, { around, step_s });
  const { chamber_Pa, place } = settled(draft, parameters, { around, excess });
  const priming_m3_s = primingFlow_m3_s(around, chamber_Pa);
  const vents_m3_s = checkedFlow_m3_s(around.vents_m3_s_sqrtPa, chamber_Pa);
  const air_J = draft.chamberAir_J + step_s * indrawnAir_W(around, chamber_Pa);
  const purged_W = vents_m3_s > 0 && priming_m3_s > 0 ? purgeShare * priming_m3_s * (chamber_Pa + atmosphere_Pa) : 0;
  draft.clapper = place;
  draft.chamber_Pa = chamber_Pa;
  draft.chamberWater_m3 += step_s * (priming_m3_s - vents_m3_s);
  draft.chamberAir_J = Math.max(Math.min(air_J, parameters.chamber.airFloor_J), air_J - step_s * purged_W);
  draft.priming_m3_s = priming_m3_s;
  draft.vents_m3_s = vents_m3_s;
  draft.vented_m3 += step_s * vents_m3_s;
  draft.supplied_m3 += step_s * priming_m3_s;
}

/**
 * Room for water in the chamber less the water there would be, if the network stood as given and the clapper were at
 * balance where the network has it: zero where chamber and network agree, falling as the clapper opens.
 */
export function clapperExcess_m3(
  draft: PlantState,
  network: PlantState,
  { parameters, step_s }: { readonly parameters: Parameters; readonly step_s: number },
): number {
  const around = surroundings({ ...draft, ...pressuresOf(network) }, parameters);
  const balance_Pa = around.balance_Pa - around.balanceFall_Pa * network.clapper;
  return excessVolume(draft, parameters, { around, step_s })(network.clapper, balance_Pa);
}

const pressuresOf = ({ inlet_Pa, outlet_Pa, supply_Pa }: PlantState) => ({ inlet_Pa, outlet_Pa, supply_Pa });

function surroundings(state: PlantState, parameters: Parameters): Surroundings {
  const { chamber, clapper, prime, relief } = parameters;
  const primeOpen = position(state, parameters, 'prime');
  const reliefOpen = relief.stuck === undefined ? state.reliefOpen : relief.stuck === 'open';
  const spring_N = clapper.closingForce_N;
  const onSeat_N = state.inlet_Pa * clapper.seatArea_m2;
  const onRing_N = state.outlet_Pa * (clapper.controlArea_m2 - clapper.seatArea_m2);
  return {
    source_Pa: prime.upstream ? state.supply_Pa : state.inlet_Pa,
    prime_m3_s_sqrtPa: prime.open_m3_s_sqrtPa * primeOpen,
    checkLeak_m3_s_sqrtPa: primeOpen > 0 ? prime.checkLeak_m3_s_sqrtPa : 0,
    crack_Pa: prime.crack_Pa,
    vents_m3_s_sqrtPa:
      openConstant(state, parameters, 'solenoid') +
      openConstant(state, parameters, 'manual-release') +
      (reliefOpen ? relief.open_m3_s_sqrtPa : relief.leak_m3_s_sqrtPa) +
      chamber.leak_m3_s_sqrtPa,
    balance_Pa: (onSeat_N + onRing_N - spring_N) / clapper.controlArea_m2,
    balanceFall_Pa: clapper.springRise_N / clapper.controlArea_m2,
  };
}

/** Into the chamber; backwards through a check that leaks. */
function primingFlow_m3_s(around: Surroundings, chamber_Pa: number): number {
  const forward_m3_s = checkedFlow_m3_s(around.prime_m3_s_sqrtPa, around.source_Pa - around.crack_Pa - chamber_Pa);
  return forward_m3_s - checkedFlow_m3_s(around.checkLeak_m3_s_sqrtPa, chamber_Pa - around.source_Pa);
}

/** Air that a chamber under suction draws in through its vents, as pressure times volume in a second. */
const indrawnAir_W = ({ vents_m3_s_sqrtPa }: Surroundings, chamber_Pa: number): number =>
  airOverWater * checkedFlow_m3_s(vents_m3_s_sqrtPa, -chamber_Pa) * atmosphere_Pa;

type ExcessVolume = (place: number, chamber_Pa: number) => number;

/** Room for water at an assumed place and pressure, less the water there would be: grows with pressure, zero when right. */
function excessVolume(
  draft: PlantState,
  { chamber, clapper }: Parameters,
  { around, step_s }: { readonly around: Surroundings; readonly step_s: number },
): ExcessVolume {
  const [water_m3, air_J] = [draft.chamberWater_m3, draft.chamberAir_J];
  return (place, chamber_Pa) => {
    const airThen_J = air_J + step_s * indrawnAir_W(around, chamber_Pa);
    const room_m3 = chamber.volume_m3 - clapper.swept_m3 * place - airThen_J / (chamber_Pa + atmosphere_Pa);
    const net_m3_s = primingFlow_m3_s(around, chamber_Pa) - checkedFlow_m3_s(around.vents_m3_s_sqrtPa, chamber_Pa);
    return room_m3 - water_m3 - step_s * net_m3_s;
  };
}

interface Settled {
  /** Where the clapper is. */
  readonly place: number;
  readonly chamber_Pa: number;
}

function settled(
  draft: PlantState,
  { clapper }: Parameters,
  { around, excess }: { readonly around: Surroundings; readonly excess: ExcessVolume },
): Settled {
  const [seated_Pa, open_Pa] = [around.balance_Pa, around.balance_Pa - around.balanceFall_Pa];
  const high_Pa = Math.max(around.source_Pa, draft.chamber_Pa, seated_Pa) + 1e3;
  const low_Pa = -0.98 * atmosphere_Pa;
  const guess_Pa = draft.chamber_Pa;
  if (clapper.stuck === 'shut' && draft.clapper === 0) return standing(excess, 0, { guess_Pa, low_Pa, high_Pa });
  if (clapper.stuck === 'open' && draft.clapper === 1) return standing(excess, 1, { guess_Pa, low_Pa, high_Pa });
  if (excess(0, seated_Pa) <= 0) return standing(excess, 0, { guess_Pa, low_Pa: seated_Pa, high_Pa });
  if (excess(1, open_Pa) >= 0) return standing(excess, 1, { guess_Pa, low_Pa, high_Pa: open_Pa });
  const place = increasingRoot((x) => -excess(x, seated_Pa - around.balanceFall_Pa * x), {
    guess: draft.clapper,
    stride: 0.01,
    low: 0,
    high: 1,
    residual: residual_m3,
  });
  return { place, chamber_Pa: seated_Pa - around.balanceFall_Pa * place };
}

/** The pressure of the chamber while the clapper stands still. */
function standing(
  excess: ExcessVolume,
  place: number,
  range: { readonly guess_Pa: number; readonly low_Pa: number; readonly high_Pa: number },
): Settled {
  const guess = Math.min(range.high_Pa, Math.max(range.low_Pa, range.guess_Pa));
  const chamber_Pa = increasingRoot((gauge_Pa) => excess(place, gauge_Pa), {
    guess,
    stride: 100 + 0.02 * Math.abs(guess),
    low: range.low_Pa,
    high: range.high_Pa,
    residual: residual_m3,
  });
  return { place, chamber_Pa };
}
