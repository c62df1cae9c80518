import { valveIndex } from './names.ts';
import type { ValveName } from './names.ts';
import type { Parameters } from './parameters.ts';
import type { PlantState } from './state.ts';

/** Where a valve really stands: where it was moved to, or where it is stuck. */
export function position(state: PlantState, parameters: Parameters, name: ValveName): number {
  const index = valveIndex[name];
  return parameters.valves[index]?.stuckAt ?? state.position[index] ?? 0;
}

/** Flow constant of a valve as it stands, m³/s/√Pa: in proportion to its opening, but never below what it leaks. */
export function openConstant(state: PlantState, parameters: Parameters, name: ValveName): number {
  const valve = parameters.valves[valveIndex[name]];
  if (valve === undefined) return 0;
  return Math.max(valve.passing_m3_s_sqrtPa, valve.open_m3_s_sqrtPa * position(state, parameters, name));
}

/** Flow constant of the supply valve as it stands, from its table. */
export function supplyValveConstant(state: PlantState, parameters: Parameters): number {
  const table = parameters.supplyValve;
  const place = position(state, parameters, 'supply') * (table.length - 1);
  const step = Math.min(table.length - 2, Math.floor(place));
  const below = table[step] ?? 0;
  const between = below + (place - step) * ((table[step + 1] ?? 0) - below);
  return Math.max(parameters.valves[valveIndex.supply]?.passing_m3_s_sqrtPa ?? 0, between);
}

/** Flow constant of the deluge valve: open area over the stroke as x(2 − x), and what its seat lets by. */
export function clapperConstant(state: PlantState, { clapper }: Parameters): number {
  const x = state.clapper;
  return Math.max(clapper.seatLeak_m3_s_sqrtPa, clapper.open_m3_s_sqrtPa * x * (2 - x));
}

/** The square-root law with a direction, m³/s. */
export const signedFlow_m3_s = (constant_m3_s_sqrtPa: number, drop_Pa: number): number =>
  drop_Pa >= 0 ? constant_m3_s_sqrtPa * Math.sqrt(drop_Pa) : -constant_m3_s_sqrtPa * Math.sqrt(-drop_Pa);

/** The square-root law through a check: nothing against a drop that is not positive, m³/s. */
export const checkedFlow_m3_s = (constant_m3_s_sqrtPa: number, drop_Pa: number): number =>
  drop_Pa > 0 ? constant_m3_s_sqrtPa * Math.sqrt(drop_Pa) : 0;
