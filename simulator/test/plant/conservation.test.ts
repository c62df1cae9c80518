import { fc, test } from '@fast-check/vitest';
import { defaultFigures, figuresWith } from '@tidemark/hydraulics';
import { describe, expect, it } from 'vitest';
import { createPlant, faultRecipes, observe, valveNames } from '../../src/index.ts';
import type { PlantFault, PlantView } from '../../src/index.ts';
import { move, play, tell } from './story.ts';
import type { Act } from './story.ts';

const psi = 6894.757;

const risers = fc
  .record({
    static_Pa: fc.double({ min: 50 * psi, max: 150 * psi, noNaN: true }),
    residual: fc.double({ min: 0.5, max: 0.9, noNaN: true }),
    count: fc.integer({ min: 5, max: 40 }),
    source: fc.constantFrom('upstream' as const, 'downstream' as const),
    bleedsTo: fc.constantFrom('outlet' as const, 'atmosphere' as const),
  })
  .map(({ static_Pa, residual, count, source, bleedsTo }) =>
    figuresWith({
      supply: { static_Pa, residual_Pa: residual * static_Pa },
      nozzles: { count },
      prime: { source },
      drains: { supplySide: source },
      alarmLine: { testSource: source, bleedsTo },
    }),
  );

const acts = fc
  .array(
    fc.record({
      at_s: fc.double({ min: 0, max: 300, noNaN: true }),
      valve: fc.constantFrom(...valveNames),
      to: fc.constantFrom(0, 0, 0.1, 0.5, 1, 1),
    }),
    { minLength: 1, maxLength: 14 },
  )
  .map((list) =>
    list.toSorted((one, other) => one.at_s - other.at_s).map(({ at_s, valve, to }): Act => [at_s, move(valve, to)]),
  );

const held_m3 = ({ water_m3 }: PlantView): number => water_m3.chamber + water_m3.piping + water_m3.alarmLine;
const out_m3 = ({ totals_m3 }: PlantView): number => totals_m3.sprayed + totals_m3.drained + totals_m3.vented;

const recipes = Object.values(faultRecipes(defaultFigures)).flat();
const faults = fc
  .array(
    fc.record({
      index: fc.nat(recipes.length - 1),
      from_s: fc.double({ min: 0, max: 300, noNaN: true }),
      length_s: fc.double({ min: 0.01, max: 300, noNaN: true }),
    }),
    { maxLength: 4 },
  )
  .map((list) =>
    list.map(({ index, from_s, length_s }, order): PlantFault => {
      return { id: String(order), patch: recipes[index]!.patch, from_s, until_s: from_s + length_s };
    }),
  );

describe('water', () => {
  test.prop([risers, acts, faults], { seed: 14, numRuns: 80 })(
    'is neither made nor lost whatever is broken, and every value stays a number',
    (figures, list, broken) => {
      const start = createPlant(figures, { faults: broken });
      const before = observe(start);
      const after = observe(play(start, list, 700).plant);

      expect(JSON.stringify(after)).not.toContain('null');
      const balance_m3 = after.totals_m3.supplied - out_m3(after) - (held_m3(after) - held_m3(before));
      expect(Math.abs(balance_m3)).toBeLessThan(1e-9 * (1 + after.totals_m3.supplied));
    },
  );

  test.prop([risers, acts], { seed: 11, numRuns: 60 })(
    'is neither made nor lost, whatever is turned',
    (figures, list) => {
      const before = observe(createPlant(figures));
      const after = observe(play(createPlant(figures), list, 400).plant);

      const balance_m3 = after.totals_m3.supplied - out_m3(after) - (held_m3(after) - held_m3(before));
      expect(Math.abs(balance_m3)).toBeLessThan(1e-9 * (1 + after.totals_m3.supplied));
    },
  );

  it('goes through the default story and out again', () => {
    const view = observe(tell().plant);

    // 135 s of 867 gpm and some.
    expect(view.totals_m3.sprayed).toBeGreaterThan(7);
    expect(view.totals_m3.drained).toBeGreaterThan(0.2);
    expect(view.totals_m3.vented).toBeGreaterThan(0);
  });
});

describe('pressure', () => {
  test.prop([risers, acts], { seed: 12, numRuns: 60 })(
    'falls along the way of the water and never exceeds the supply',
    (figures, list) => {
      const { flows_m3_s, pressures_Pa } = observe(play(createPlant(figures), list, 400).plant);

      const top_Pa = figures.supply.static_Pa + 1;
      for (const gauge_Pa of Object.values(pressures_Pa)) expect(gauge_Pa).toBeLessThan(top_Pa);
      if (flows_m3_s.nozzles > 1e-6) {
        // Power never grows on the way: the nozzles spend no more than the supply gives.
        expect(pressures_Pa.supply).toBeGreaterThanOrEqual(pressures_Pa.inlet - 1);
        expect(pressures_Pa.inlet).toBeGreaterThanOrEqual(pressures_Pa.outlet - 1);
      }
    },
  );
});
