import { gravity_m_s2, riserTree, waterDensity_kg_m3 } from '@tidemark/hydraulics';
import type { RiserFigures, TreeNode } from '@tidemark/hydraulics';
import { inUnit } from '@tidemark/kernel';

/** The part of the solver's interface that is used; its own types do not resolve under NodeNext. */
interface Epanet {
  readonly Project: new (workspace: unknown) => Network;
  readonly Workspace: new () => { readonly loadModule: () => Promise<void>; readonly version: number };
  readonly [enumeration: string]: unknown;
}
interface Network {
  readonly init: (report: string, output: string, units: number, losses: number) => void;
  readonly setOption: (option: number, value: number) => void;
  readonly addNode: (id: string, kind: number) => number;
  readonly addLink: (id: string, kind: number, from: string, to: string) => number;
  readonly setNodeValue: (node: number, property: number, value: number) => void;
  readonly getNodeValue: (node: number, property: number) => number;
  readonly getNodeIndex: (id: string) => number;
  readonly setPipeData: (link: number, length: number, bore: number, roughness: number, minorLoss: number) => void;
  readonly getLinkValue: (link: number, property: number) => number;
  readonly getLinkIndex: (id: string) => number;
  readonly openH: () => void;
  readonly initH: (flag: number) => void;
  readonly runH: () => number;
  readonly closeH: () => void;
  readonly close: () => void;
}
type Constants = Readonly<Record<string, Readonly<Record<string, number>>>>;

const specifier: string = 'epanet-js';
const epanet = (await import(specifier)) as Epanet;
const constants = epanet as unknown as Constants;

const constant = (enumeration: string, member: string): number => {
  const value = constants[enumeration]?.[member];
  if (value === undefined) throw new Error(`the solver has no ${enumeration}.${member}`);
  return value;
};

const workspace = new epanet.Workspace();
await workspace.loadModule();

/** The engine's version, as it says itself. */
export const epanetVersion = workspace.version;

/** EPANET turns feet into psi by 0.4333 times the specific gravity; this gives it our specific weight. */
const psiPerFoot = inUnit(waterDensity_kg_m3 * gravity_m_s2 * 0.3048, 'psi');
const gravity = psiPerFoot / 0.4333;

const feet = (length_m: number): number => inUnit(length_m, 'ft');
const inches = (length_m: number): number => inUnit(length_m, 'in');

/** What EPANET 2.3 (US EPA) found: total flow, and the pressure at a node of the tree, at `supply` and at `inlet`. */
export interface Solved {
  readonly flow_gpm: number;
  readonly gauge_psi: (node: string) => number;
}

/**
 * Solves a riser in full flow with EPANET: a network solver that shares nothing with ours. Our specific weight is set on
 * its side, so that only the solution is compared.
 */
export function solveWithEpanet(figures: RiserFigures): Solved {
  const network = new epanet.Project(workspace);
  network.init('r.rpt', 'r.bin', constant('FlowUnits', 'GPM'), constant('HeadLossType', 'HW'));
  network.setOption(constant('Option', 'Emitexpon'), 0.5);
  network.setOption(constant('Option', 'SpGravity'), gravity);
  network.setOption(constant('Option', 'Accuracy'), 1e-8);
  network.setOption(constant('Option', 'Trials'), 500);
  const tree = riserTree(figures);
  const nodes = listed(tree);
  // Junctions first: adding one later would shift the index of the reservoir.
  for (const node of [...nodes, bare('supply'), bare('inlet')]) addJunction(network, node);
  const reservoir = network.addNode('source', constant('NodeType', 'Reservoir'));
  network.setNodeValue(
    reservoir,
    constant('NodeProperty', 'Elevation'),
    inUnit(figures.supply.static_Pa, 'psi') / psiPerFoot,
  );
  addSupply(network, figures);
  const bore_in = inches(figures.supplyValve.bore_m);
  addPipe(network, ['supply', 'inlet'], [0.001, bore_in, 120, figures.supplyValve.openLoss]);
  addPipe(network, ['inlet', tree.id], [0.001, bore_in, 120, figures.delugeValve.openLoss]);
  for (const node of nodes)
    for (const { lossCoefficient, pipe, to } of node.outward)
      addPipe(network, [node.id, to.id], [feet(pipe.length_m), inches(pipe.bore_m), pipe.roughness_C, lossCoefficient]);
  network.openH();
  network.initH(constant('InitHydOption', 'NoSave'));
  network.runH();
  const pressures = new Map(
    [...nodes.map(({ id }) => id), 'supply', 'inlet'].map((id) => [
      id,
      network.getNodeValue(network.getNodeIndex(id), constant('NodeProperty', 'Pressure')),
    ]),
  );
  const flow_gpm = network.getLinkValue(network.getLinkIndex('source-supply'), constant('LinkProperty', 'Flow'));
  network.closeH();
  network.close();
  return { flow_gpm, gauge_psi: (id) => pressures.get(id) ?? Number.NaN };
}

const bare = (id: string): TreeNode => ({ id, elevation_m: 0, nozzle_m3_s_sqrtPa: 0, outward: [] });

const listed = (node: TreeNode): readonly TreeNode[] => [node, ...node.outward.flatMap(({ to }) => listed(to))];

function addJunction(network: Network, node: TreeNode): void {
  const index = network.addNode(node.id, constant('NodeType', 'Junction'));
  network.setNodeValue(index, constant('NodeProperty', 'Elevation'), feet(node.elevation_m));
  if (node.nozzle_m3_s_sqrtPa > 0)
    network.setNodeValue(index, constant('NodeProperty', 'Emitter'), inUnit(node.nozzle_m3_s_sqrtPa, 'gpm/psi^0.5'));
}

type PipeData = readonly [length_ft: number, bore_in: number, roughness_C: number, minorLoss: number];

function addPipe(network: Network, [from, to]: readonly [string, string], data: PipeData): void {
  const link = network.addLink(`${from}-${to}`, constant('LinkType', 'Pipe'), from, to);
  network.setPipeData(link, ...data);
}

/** A supply curve as one pipe from a reservoir at static head: the length that loses the test's drop at its flow. */
function addSupply(network: Network, { supply }: RiserFigures): void {
  const [bore_in, roughness_C] = [8, 100];
  const flow_ft3_s = supply.residualFlow_m3_s / 0.3048 ** 3;
  const lossPerFoot_ft = (4.727 * (flow_ft3_s / roughness_C) ** 1.852) / (bore_in / 12) ** 4.871;
  const drop_ft = inUnit(supply.static_Pa - supply.residual_Pa, 'psi') / psiPerFoot;
  addPipe(network, ['source', 'supply'], [drop_ft / lossPerFoot_ft, bore_in, roughness_C, 0]);
}
