import { figuresWith, gravity_m_s2, riserTree, steadyFlow, waterDensity_kg_m3 } from '@tidemark/hydraulics';
import type { RiserFigures, TreeNode } from '@tidemark/hydraulics';
import { inUnit, parseQuantity } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';

/*
 * The riser's tree against EPANET 2.3 (US EPA), a network solver that shares nothing with ours. Its published
 * Hazen-Williams form is set on our side, and our specific weight on its side, so that only the solution is compared;
 * with the form of the fire codes the total flow is compared as well.
 */

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

const si = (text: string): number => {
  const parsed = parseQuantity(text);
  if (!parsed.ok) throw new Error(`not a quantity: ${text}`);
  return parsed.value.si;
};

/** EPANET turns feet into psi by 0.4333 times the specific gravity; this gives it our specific weight. */
const psiPerFoot = inUnit(waterDensity_kg_m3 * gravity_m_s2 * 0.3048, 'psi');
const gravity = psiPerFoot / 0.4333;

const feet = (length_m: number): number => inUnit(length_m, 'ft');
const inches = (length_m: number): number => inUnit(length_m, 'in');

interface Solved {
  readonly flow_gpm: number;
  readonly gauge_psi: (node: string) => number;
}

function solve(figures: RiserFigures): Solved {
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

const supplies = [
  { static_Pa: si('60 psi'), residual_Pa: si('45 psi') },
  { static_Pa: si('100 psi'), residual_Pa: si('80 psi') },
  { static_Pa: si('150 psi'), residual_Pa: si('120 psi') },
];
const constants_K = ['2.8', '5.6', '8', '11.2'];
const layouts = [
  { name: '20 nozzles, C 120, 20 ft', count: 20, C: 120, main: '4.026 in', height: '20 ft' },
  { name: '12 nozzles, C 100, 40 ft', count: 12, C: 100, main: '3.068 in', height: '40 ft' },
  { name: '33 nozzles, C 150, 10 ft', count: 33, C: 150, main: '6.065 in', height: '10 ft' },
];
const grid = supplies.flatMap((supply) =>
  constants_K.flatMap((k) =>
    layouts.map((layout) => ({
      name: `${inUnit(supply.static_Pa, 'psi').toFixed(0)} psi, K${k}, ${layout.name}`,
      figures: figuresWith({
        supply,
        nozzles: { count: layout.count, k_m3_s_sqrtPa: si(`${k} gpm/psi^0.5`) },
        piping: {
          roughness_C: layout.C,
          riser: { bore_m: si('6.065 in'), height_m: si(layout.height), lossCoefficient: 0.5 },
          main: { bore_m: si(layout.main), spacing_m: si('10 ft') },
        },
      }),
    })),
  ),
);

const departure = (value: number, expected: number): number => Math.abs(value - expected) / Math.abs(expected);

describe('the riser tree against EPANET', () => {
  it('runs the engine it names', () => {
    expect(workspace.version).toBe(20_305);
    expect(grid.length).toBe(36);
  });

  it.each(grid)('agrees within 0.1 % in flow and at every node: $name', ({ figures }) => {
    const theirs = solve(figures);
    const ours = steadyFlow(figures, 'epanet');

    expect(departure(inUnit(ours.flow_m3_s, 'gpm'), theirs.flow_gpm)).toBeLessThan(0.001);
    expect(departure(inUnit(ours.supply_Pa, 'psi'), theirs.gauge_psi('supply'))).toBeLessThan(0.001);
    expect(departure(inUnit(ours.inlet_Pa, 'psi'), theirs.gauge_psi('inlet'))).toBeLessThan(0.001);
    for (const [id, { gauge_Pa }] of ours.nodes)
      expect(departure(inUnit(gauge_Pa, 'psi'), theirs.gauge_psi(id)), id).toBeLessThan(0.001);
  });

  it.each(grid)('agrees within 0.1 % in flow by the form of the fire codes: $name', ({ figures }) => {
    expect(departure(inUnit(steadyFlow(figures).flow_m3_s, 'gpm'), solve(figures).flow_gpm)).toBeLessThan(0.001);
  });
});
