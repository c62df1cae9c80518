import { figuresWith, steadyFlow } from '@tidemark/hydraulics';
import { inUnit, parseQuantity } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import { epanetVersion, solveWithEpanet } from './hydraulics-epanet.ts';

/*
 * The riser's tree against EPANET, with EPANET's published Hazen-Williams form on our side as well; and with the form of
 * the fire codes for the total flow.
 */
const si = (text: string): number => {
  const parsed = parseQuantity(text);
  if (!parsed.ok) throw new Error(`not a quantity: ${text}`);
  return parsed.value.si;
};

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
    expect(epanetVersion).toBe(20_305);
    expect(grid.length).toBe(36);
  });

  it.each(grid)('agrees within 0.1 % in flow and at every node: $name', ({ figures }) => {
    const theirs = solveWithEpanet(figures);
    const ours = steadyFlow(figures, 'epanet');

    expect(departure(inUnit(ours.flow_m3_s, 'gpm'), theirs.flow_gpm)).toBeLessThan(0.001);
    expect(departure(inUnit(ours.supply_Pa, 'psi'), theirs.gauge_psi('supply'))).toBeLessThan(0.001);
    expect(departure(inUnit(ours.inlet_Pa, 'psi'), theirs.gauge_psi('inlet'))).toBeLessThan(0.001);
    for (const [id, { gauge_Pa }] of ours.nodes)
      expect(departure(inUnit(gauge_Pa, 'psi'), theirs.gauge_psi(id)), id).toBeLessThan(0.001);
  });

  it.each(grid)('agrees within 0.1 % in flow by the form of the fire codes: $name', ({ figures }) => {
    expect(departure(inUnit(steadyFlow(figures).flow_m3_s, 'gpm'), solveWithEpanet(figures).flow_gpm)).toBeLessThan(
      0.001,
    );
  });
});
