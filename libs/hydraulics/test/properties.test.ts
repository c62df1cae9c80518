import { fc, test } from '@fast-check/vitest';
import { describe, expect, it } from 'vitest';
import {
  bracketedRoot,
  bleedDown_s,
  butterflyLoss,
  defaultFigures,
  figuresWith,
  fireFriction_Pa,
  epanetFriction_Pa,
  outletCurve,
  pipingVolume_m3,
  predictWindows,
  refill_s,
  steadyFlow,
  supplyFlow_m3_s,
  supplyPressure_Pa,
  windowNames,
} from '../src/index.ts';
import { departure, si } from './units.ts';

const seeded = { seed: 20_260_302, numRuns: 60 };
const share = fc.double({ min: 0.05, max: 0.95, noNaN: true });
const psi = fc.double({ min: 40, max: 175, noNaN: true }).map((value) => value * si('1 psi'));

describe('the formulae', () => {
  test.prop([psi, share, share], seeded)('invert the supply curve', (static_Pa, residual, at) => {
    const curve = { static_Pa, residual_Pa: static_Pa * residual, residualFlow_m3_s: si('1000 gpm') };

    const back_Pa = supplyPressure_Pa(curve, supplyFlow_m3_s(curve, static_Pa * at));

    expect(departure(back_Pa, static_Pa * at)).toBeLessThan(1e-9);
  });

  test.prop([share, share], seeded)('refill slower through a smaller orifice and with more air', (small, air) => {
    const line = { source_Pa: si('100 psi'), crack_Pa: 0, orifice_m3_s_sqrtPa: 2e-7 };
    const refill = { from_Pa: 0, to_Pa: si('80 psi'), air_m3: 1e-3 };

    const smaller = { ...line, orifice_m3_s_sqrtPa: small * line.orifice_m3_s_sqrtPa };
    expect(refill_s(smaller, refill)).toBeGreaterThan(refill_s(line, refill));
    expect(refill_s(line, { ...refill, air_m3: air * refill.air_m3 })).toBeLessThan(refill_s(line, refill));
  });

  test.prop([psi, share, share], seeded)('bleed sooner to a higher pressure', (from_Pa, one, other) => {
    const line = { volume_m3: 6e-4, hole_m3_s_sqrtPa: 6e-8 };
    const [low, high] = [Math.min(one, other), Math.max(one, other)];

    expect(bleedDown_s(line, { from_Pa, to_Pa: high * from_Pa })).toBeLessThanOrEqual(
      bleedDown_s(line, { from_Pa, to_Pa: low * from_Pa }),
    );
  });

  test.prop([fc.double({ min: 0, max: 89, noNaN: true }), fc.double({ min: 0.01, max: 1, noNaN: true })], seeded)(
    'lose more through a butterfly that is turned further',
    (angle_deg, more_deg) => {
      expect(butterflyLoss(angle_deg + more_deg)).toBeGreaterThan(butterflyLoss(angle_deg));
    },
  );

  test.prop([share, fc.double({ min: 100, max: 150, noNaN: true })], seeded)(
    'agree in both forms of Hazen-Williams within half a per cent from 1 to 6 in',
    (size, roughness_C) => {
      const pipe = { bore_m: si('1 in') + size * si('5 in'), length_m: 10, roughness_C };
      const flow_m3_s = 3 * pipe.bore_m ** 2;

      expect(departure(fireFriction_Pa(pipe, flow_m3_s), epanetFriction_Pa(pipe, flow_m3_s))).toBeLessThan(0.005);
    },
  );

  it('find the root of a function that is flat at one end', () => {
    expect(bracketedRoot((x) => x ** 9 - 1e-9, { low: 0, high: 1 }, 1e-13)).toBeCloseTo(0.1, 10);
  });
});

const risers = fc.record({
  static_Pa: psi,
  residual: fc.double({ min: 0.5, max: 0.95, noNaN: true }),
  count: fc.integer({ min: 1, max: 40 }),
  k: fc.double({ min: 2.8, max: 11.2, noNaN: true }),
});
const riser = ({ static_Pa, residual, count, k }: typeof risers extends fc.Arbitrary<infer Value> ? Value : never) =>
  figuresWith({
    supply: { static_Pa, residual_Pa: static_Pa * residual },
    nozzles: { count, k_m3_s_sqrtPa: k * si('1 gpm/psi^0.5') },
  });

describe('a riser in full flow', () => {
  test.prop([risers], seeded)('gives through its nozzles what its outlet takes, at falling pressure', (figures) => {
    const { flow_m3_s, inlet_Pa, nodes, outlet_Pa, supply_Pa } = steadyFlow(riser(figures));

    const nozzles_m3_s = [...nodes.values()].reduce((sum, { nozzle_m3_s }) => sum + nozzle_m3_s, 0);
    expect(departure(nozzles_m3_s, flow_m3_s)).toBeLessThan(1e-9);
    expect(supply_Pa).toBeGreaterThan(inlet_Pa);
    expect(inlet_Pa).toBeGreaterThan(outlet_Pa);
    expect(nodes.get('nozzle-1-1')!.gauge_Pa).toBeLessThan(nodes.get('top')!.gauge_Pa);
  });

  test.prop([risers, share], seeded)('flows less from a lower supply and with fewer nozzles', (figures, less) => {
    const flow_m3_s = steadyFlow(riser(figures)).flow_m3_s;

    const weaker = { ...figures, static_Pa: figures.static_Pa * (0.3 + 0.7 * less) };
    const fewer = { ...figures, count: Math.max(1, figures.count - 1) };
    expect(steadyFlow(riser(weaker)).flow_m3_s).toBeLessThan(flow_m3_s);
    expect(steadyFlow(riser(fewer)).flow_m3_s).toBeLessThanOrEqual(flow_m3_s);
  });

  test.prop([risers], { ...seeded, numRuns: 30 })('is reproduced by two terms within 0.5 %', (figures) => {
    expect(outletCurve(riser(figures)).worstError).toBeLessThan(0.005);
  });

  it('of the default figures is reproduced within 0.05 %', () => {
    expect(outletCurve(defaultFigures).worstError).toBeLessThan(0.0005);
  });

  it('holds 287.9 L in its dry piping', () => {
    expect(pipingVolume_m3(defaultFigures)).toBeCloseTo(0.2879, 4);
  });
});

describe('the predicted windows', () => {
  it('of the default riser are the prior ranges', () => {
    expect(predictWindows(defaultFigures)).toEqual({
      releaseToPrimeLow: { min_s: 0.01, max_s: 0.18 },
      releaseToWaterflow: { min_s: 0.49, max_s: 1.68 },
      releaseToFullOpen: { min_s: 0.56, max_s: 2.29 },
      releaseToPipingFull: { min_s: 2.1, max_s: 5 },
      drainsOpenToFlowRestored: { min_s: 10.8, max_s: 66.8 },
      resetToPrimeRestored: { min_s: 0.11, max_s: 11 },
      testOpenToWaterflow: { min_s: 0.18, max_s: 0.46 },
      testShutToFlowRestored: { min_s: 6.3, max_s: 81.4 },
      supplyCloseStroke: { min_s: 5, max_s: 40 },
    });
  });

  it('shift by the delay of the waterflow switch and do not widen', () => {
    const { waterflow } = defaultFigures.switches;
    const delayed = predictWindows(figuresWith({ switches: { waterflow: { ...waterflow, retard_s: 45 } } }));

    expect(delayed.releaseToWaterflow).toEqual({ min_s: 45.49, max_s: 46.68 });
    expect(delayed.testOpenToWaterflow).toEqual({ min_s: 45.18, max_s: 45.46 });
    expect(delayed.testShutToFlowRestored).toEqual({ min_s: 6.3, max_s: 81.4 });
  });

  it('of the bleed-down grow as the line does and as the hole shrinks', () => {
    const { alarmLine } = defaultFigures;
    const doubled = predictWindows(figuresWith({ alarmLine: { volume_m3: 2 * alarmLine.volume_m3 } }));
    const hole = { ...alarmLine.hole, bore_m: alarmLine.hole.bore_m / 2 };
    const halved = predictWindows(figuresWith({ alarmLine: { hole } }));

    expect(doubled.testShutToFlowRestored.max_s).toBeCloseTo(2 * 81.4, 6);
    expect(halved.testShutToFlowRestored.min_s).toBeCloseTo(4 * 6.3, 6);
  });

  test.prop([risers], seeded)('are ordered and finite for a riser that can work', (figures) => {
    const windows = predictWindows(riser(figures));

    for (const name of windowNames) {
      expect(windows[name].min_s).toBeGreaterThan(0);
      expect(windows[name].max_s).toBeGreaterThan(windows[name].min_s);
      expect(windows[name].max_s).toBeLessThan(1000);
    }
  });
});
