import type { RiserFigures } from './figures.ts';
import { minorLoss_Pa, velocity_m_s } from './pipe-friction.ts';
import type { HazenWilliamsForm } from './pipe-friction.ts';
import { branchNozzles, branchRuns } from './piping.ts';
import { bracketedRoot } from './root.ts';
import { supplyPressure_Pa } from './supply-curve.ts';
import { treeFromEnd, treeRootFromEnd } from './tree.ts';
import type { NodeState, TreeNode } from './tree.ts';
import { columnPressure_Pa } from './water.ts';

/**
 * The piping of a riser as a tree. Nodes are `outlet`, `top`, `main-1` … outwards from the riser, and
 * `nozzle-{branch}-{n}`, n counted from the branch's end.
 */
export function riserTree(figures: RiserFigures): TreeNode {
  const { piping } = figures;
  const branches = branchNozzles(figures);
  const main = { bore_m: piping.main.bore_m, length_m: piping.main.spacing_m, roughness_C: piping.roughness_C };
  const joint = (branch: number): TreeNode => {
    const side = branchTree(figures, { branch, nozzles: branches[branch - 1] ?? 0 });
    const onward = branch < branches.length ? [{ pipe: main, lossCoefficient: 0, to: joint(branch + 1) }] : [];
    return plainNode(`main-${String(branch)}`, piping.riser.height_m, [side, ...onward]);
  };
  const top = plainNode('top', piping.riser.height_m, [{ pipe: main, lossCoefficient: 0, to: joint(1) }]);
  const riser = {
    bore_m: piping.riser.bore_m,
    length_m: piping.riser.height_m,
    roughness_C: piping.roughness_C,
  };
  return plainNode('outlet', 0, [{ pipe: riser, lossCoefficient: piping.riser.lossCoefficient, to: top }]);
}

/** What flows, and what stands where, with everything open and the pipes full. */
export interface SteadyFlow {
  readonly flow_m3_s: number;
  /** Above the supply valve, below the deluge valve, at its outlet. */
  readonly supply_Pa: number;
  readonly inlet_Pa: number;
  readonly outlet_Pa: number;
  readonly nodes: ReadonlyMap<string, NodeState>;
}

/** The operating point of a riser in full flow, by a bracketed secant on the pressure of the last branch's end nozzle. */
export function steadyFlow(figures: RiserFigures, form: HazenWilliamsForm = 'fire'): SteadyFlow {
  const tree = riserTree(figures);
  const supply_Pa = (flow_m3_s: number): number => supplyPressure_Pa(figures.supply, flow_m3_s);
  const excess_Pa = (end_Pa: number): number => {
    const outlet = treeRootFromEnd(tree, end_Pa, form);
    return outlet.gauge_Pa + valveLosses(figures, outlet.through_m3_s).both_Pa - supply_Pa(outlet.through_m3_s);
  };
  const end_Pa = bracketedRoot(excess_Pa, { low: 0, high: figures.supply.static_Pa }, 1e-3);
  const nodes = treeFromEnd(tree, end_Pa, form);
  const outlet = treeRootFromEnd(tree, end_Pa, form);
  const losses = valveLosses(figures, outlet.through_m3_s);
  return {
    flow_m3_s: outlet.through_m3_s,
    supply_Pa: supply_Pa(outlet.through_m3_s),
    inlet_Pa: outlet.gauge_Pa + losses.deluge_Pa,
    outlet_Pa: outlet.gauge_Pa,
    nodes,
  };
}

/** Outlet pressure less the riser's column, over flow: `a Q² + b Q^1.85`, Pa, m³/s. */
export interface OutletCurve {
  readonly a: number;
  readonly b: number;
  /** The largest relative departure from the exact tree over the sampled pressures. */
  readonly worstError: number;
}

const samples = 12;

/**
 * Fits the two-term curve to the exact tree: 12 end pressures spaced evenly in the root of the pressure, up to the
 * supply's static pressure, weighted for equal relative error. A single K would miss by several per cent.
 */
export function outletCurve(figures: RiserFigures, form: HazenWilliamsForm = 'fire'): OutletCurve {
  const tree = riserTree(figures);
  const column_Pa = columnPressure_Pa(figures.piping.riser.height_m);
  const points = Array.from({ length: samples }, (_, sample) => {
    const end_Pa = figures.supply.static_Pa * ((sample + 1) / samples) ** 2;
    const { gauge_Pa, through_m3_s } = treeRootFromEnd(tree, end_Pa, form);
    const loss_Pa = gauge_Pa - column_Pa;
    return { square: through_m3_s ** 2 / loss_Pa, friction: through_m3_s ** 1.85 / loss_Pa };
  });
  const sum = (term: (point: (typeof points)[number]) => number): number =>
    points.reduce((total, point) => total + term(point), 0);
  const [ss, sf, ff] = [sum((p) => p.square ** 2), sum((p) => p.square * p.friction), sum((p) => p.friction ** 2)];
  const [s, f] = [sum((p) => p.square), sum((p) => p.friction)];
  const determinant = ss * ff - sf * sf;
  const [a, b] = [(s * ff - f * sf) / determinant, (f * ss - s * sf) / determinant];
  const worstError = Math.max(...points.map((p) => Math.abs(a * p.square + b * p.friction - 1)));
  return { a, b, worstError };
}

const plainNode = (id: string, elevation_m: number, outward: TreeNode['outward']): TreeNode => ({
  id,
  elevation_m,
  nozzle_m3_s_sqrtPa: 0,
  outward,
});

/** One branch, from the main to its end nozzle. */
function branchTree(
  figures: RiserFigures,
  { branch, nozzles }: { readonly branch: number; readonly nozzles: number },
): TreeNode['outward'][number] {
  const { piping } = figures;
  const runs = branchRuns(figures, nozzles);
  const from = (n: number): TreeNode['outward'][number] => {
    const run = runs[n - 1] ?? { bore_m: piping.branch.boresFromEnd_m[0], length_m: piping.branch.first_m };
    const to: TreeNode = {
      id: `nozzle-${String(branch)}-${String(n)}`,
      elevation_m: piping.riser.height_m,
      nozzle_m3_s_sqrtPa: figures.nozzles.k_m3_s_sqrtPa,
      outward: n > 1 ? [from(n - 1)] : [],
    };
    return { pipe: { ...run, roughness_C: piping.roughness_C }, lossCoefficient: 0, to };
  };
  return from(nozzles);
}

function valveLosses(
  { delugeValve, supplyValve }: RiserFigures,
  flow_m3_s: number,
): { readonly deluge_Pa: number; readonly both_Pa: number } {
  const velocity = velocity_m_s(supplyValve.bore_m, flow_m3_s);
  const deluge_Pa = minorLoss_Pa(delugeValve.openLoss, velocity);
  return { deluge_Pa, both_Pa: deluge_Pa + minorLoss_Pa(supplyValve.openLoss, velocity) };
}
