import { constantFlow_m3_s } from './orifice.ts';
import { frictionResistance, hazenWilliamsExponent, minorLoss_Pa, velocity_m_s } from './pipe-friction.ts';
import type { HazenWilliamsForm, Pipe } from './pipe-friction.ts';
import { bracketedRoot } from './root.ts';
import { columnPressure_Pa } from './water.ts';

/** A point of a branched pipe tree, with the open nozzle that may sit there and the pipes that lead on from it. */
export interface TreeNode {
  readonly id: string;
  readonly elevation_m: number;
  /** Flow constant of the open nozzle, m³/s/√Pa; 0 where there is none. */
  readonly nozzle_m3_s_sqrtPa: number;
  readonly outward: readonly TreePipe[];
}

/** A pipe of the tree, full of water, with the loss of its fittings. */
export interface TreePipe {
  readonly pipe: Pipe;
  readonly lossCoefficient: number;
  readonly to: TreeNode;
}

/** What stands and flows at a node: its pressure, what its nozzle gives, and what goes through it altogether. */
export interface NodeState {
  readonly gauge_Pa: number;
  readonly nozzle_m3_s: number;
  readonly through_m3_s: number;
}

/** Pressures to a ten-thousandth of a pascal: far below every use of them. */
const tolerance_Pa = 1e-4;

/**
 * Every node of the tree at the pressure of its spine's far end. The spine (last pipe at each node) is marched inwards
 * explicitly, so only side branches need a search each; pressure at the root grows with that of the end.
 */
export function treeFromEnd(root: TreeNode, end_Pa: number, form: HazenWilliamsForm): ReadonlyMap<string, NodeState> {
  const nodes = new Map<string, NodeState>();
  march(root, end_Pa, { form, visit: (id, state) => nodes.set(id, state) });
  return nodes;
}

/** The pressure and flow at the root alone, for searches. */
export const treeRootFromEnd = (root: TreeNode, end_Pa: number, form: HazenWilliamsForm): NodeState =>
  march(root, end_Pa, { form });

interface March {
  readonly form: HazenWilliamsForm;
  readonly visit?: (id: string, state: NodeState) => void;
}

function march(node: TreeNode, end_Pa: number, how: March): NodeState {
  const spine = node.outward.at(-1);
  const far = spine === undefined ? undefined : march(spine.to, end_Pa, how);
  const gauge_Pa = spine === undefined || far === undefined ? end_Pa : nearEnd_Pa(node, spine, far, how.form);
  const nozzle_m3_s = constantFlow_m3_s(node.nozzle_m3_s_sqrtPa, gauge_Pa);
  let through_m3_s = nozzle_m3_s + (far?.through_m3_s ?? 0);
  for (const side of node.outward.slice(0, -1))
    through_m3_s += march(side.to, sideEnd_Pa(node, side, gauge_Pa, how.form), how).through_m3_s;
  const state = { gauge_Pa, nozzle_m3_s, through_m3_s };
  how.visit?.(node.id, state);
  return state;
}

/** Pressure at the near end of a pipe, from what stands and flows at its far end. */
function nearEnd_Pa(
  node: TreeNode,
  { pipe, lossCoefficient, to }: TreePipe,
  far: NodeState,
  form: HazenWilliamsForm,
): number {
  const friction_Pa = frictionResistance(pipe, form) * far.through_m3_s ** hazenWilliamsExponent[form];
  const fittings_Pa = minorLoss_Pa(lossCoefficient, velocity_m_s(pipe.bore_m, far.through_m3_s));
  return far.gauge_Pa + columnPressure_Pa(to.elevation_m - node.elevation_m) + friction_Pa + fittings_Pa;
}

/** The end pressure of a side branch whose near end agrees with the node; 0, no flow, where the node is too low. */
function sideEnd_Pa(node: TreeNode, side: TreePipe, gauge_Pa: number, form: HazenWilliamsForm): number {
  const excess_Pa = (end_Pa: number): number =>
    nearEnd_Pa(node, side, march(side.to, end_Pa, { form }), form) - gauge_Pa;
  const lowest = (at: TreeNode): number => Math.min(at.elevation_m, ...at.outward.map(({ to }) => lowest(to)));
  const gain_Pa = Math.max(0, columnPressure_Pa(node.elevation_m - lowest(side.to)));
  return bracketedRoot(excess_Pa, { low: 0, high: gauge_Pa + gain_Pa }, tolerance_Pa);
}
