import { figuresWith } from '@tidemark/hydraulics';
import { inUnit, parseQuantity } from '@tidemark/kernel';
import { advance, command, createPlant, observe } from '@tidemark/simulator';
import { describe, expect, it } from 'vitest';
import { solveWithEpanet } from './hydraulics-epanet.ts';

const si = (text: string): number => {
  const parsed = parseQuantity(text);
  if (!parsed.ok) throw new Error(`not a quantity: ${text}`);
  return parsed.value.si;
};

const departure = (value: number, expected: number): number => Math.abs(value - expected) / Math.abs(expected);

const cases = ['60 psi', '100 psi', '150 psi'].flatMap((pressure) =>
  ['2.8', '5.6', '11.2'].map((k) => ({ pressure, k })),
);

describe('the plant in full flow against EPANET', () => {
  it.each(cases)('agrees within 0.1 % at $pressure, K$k', ({ k, pressure }) => {
    const static_Pa = si(pressure);
    const figures = figuresWith({
      supply: { static_Pa, residual_Pa: 0.8 * static_Pa },
      nozzles: { k_m3_s_sqrtPa: si(`${k} gpm/psi^0.5`) },
    });

    const released = command(createPlant(figures), 0, { type: 'move', valve: 'solenoid', to: 1 }).plant;
    const { flows_m3_s, pressures_Pa } = observe(advance(released, 120).plant);
    const theirs = solveWithEpanet(figures);

    expect(departure(inUnit(flows_m3_s.nozzles, 'gpm'), theirs.flow_gpm)).toBeLessThan(0.001);
    expect(departure(inUnit(pressures_Pa.supply, 'psi'), theirs.gauge_psi('supply'))).toBeLessThan(0.001);
    expect(departure(inUnit(pressures_Pa.inlet, 'psi'), theirs.gauge_psi('inlet'))).toBeLessThan(0.001);
    expect(departure(inUnit(pressures_Pa.outlet, 'psi'), theirs.gauge_psi('outlet'))).toBeLessThan(0.001);
  });
});
