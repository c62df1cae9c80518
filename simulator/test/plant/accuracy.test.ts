import { fc, test } from '@fast-check/vitest';
import { defaultFigures, figuresWith } from '@tidemark/hydraulics';
import { inUnit } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import { createPlant, observe } from '../../src/index.ts';
import { power185 } from '../../src/plant/power.ts';
import { increasingRoot } from '../../src/plant/root.ts';
import { move, play, reached, turns } from './story.ts';
import type { Act } from './story.ts';

/** The whole story in two minutes, so that a run in steps of 2 ms stays short. */
const brief: readonly Act[] = [
  [0, move('solenoid', 1)],
  [10, move('supply', 0)],
  [25, move('system-drain', 1)],
  [27, move('auxiliary-drain', 1)],
  [30, move('supply-drain', 1)],
  [65, move('solenoid', 0)],
  [80, move('alarm-test', 1)],
  [85, move('alarm-test', 0)],
];

describe('the adaptive steps', () => {
  it('find every event within a tenth of a second of a run in fixed steps of 2 ms', () => {
    const fixed = { tolerance: Infinity, locate_s: 0.002, shortest_s: 0.002, longest_s: 0.002 };

    const adaptive = play(createPlant(defaultFigures), brief, 120).events;
    const reference = play(createPlant(defaultFigures, { solver: fixed }), brief, 120).events;

    expect(adaptive.length).toBeGreaterThan(15);
    const named = (events: typeof adaptive): readonly string[] =>
      events.map((event) => JSON.stringify({ ...event, at_s: 0 })).toSorted();
    expect(named(adaptive)).toEqual(named(reference));
    for (const event of adaptive) {
      const same = reference.filter(
        (other) => JSON.stringify({ ...other, at_s: event.at_s }) === JSON.stringify(event),
      );
      const nearest_s = Math.min(...same.map(({ at_s }) => Math.abs(at_s - event.at_s)));
      expect(nearest_s, JSON.stringify(event)).toBeLessThan(0.1);
    }
  });
});

describe('a clock that has run for years', () => {
  it('tells the same story to the millisecond', () => {
    const start_s = 9e7;
    const late = brief.map(([at_s, given]): Act => [start_s + at_s, given]);

    const then = play(createPlant(defaultFigures, { at_s: start_s }), late, start_s + 120).events;
    const now = play(createPlant(defaultFigures), brief, 120).events;

    expect(then.map((event) => ({ ...event, at_s: 0 }))).toEqual(now.map((event) => ({ ...event, at_s: 0 })));
    for (const [index, { at_s }] of then.entries())
      expect(Math.abs(at_s - start_s - now[index]!.at_s)).toBeLessThan(0.0021);
  });

  it('does not start at an epoch', () => {
    expect(() => createPlant(defaultFigures, { at_s: 1.77e9 })).toThrow('starts near nought');
  });
});

describe('x^1.85 from square roots', () => {
  test.prop([fc.double({ min: 1e-3, max: 20, noNaN: true })], { seed: 5 })(
    'is x^1.85 within a hundred-thousandth',
    (x) => {
      expect(Math.abs(power185(x) / x ** 1.85 - 1)).toBeLessThan(1.2e-5);
    },
  );

  it('is nothing for no flow', () => {
    expect(power185(0)).toBe(0);
    expect(power185(-1)).toBe(0);
  });
});

describe('the root search', () => {
  const wide = { stride: 0.01, low: -100, high: 100, residual: 1e-12 };

  test.prop([fc.double({ min: -50, max: 50, noNaN: true }), fc.double({ min: -50, max: 50, noNaN: true })], {
    seed: 6,
  })('finds the zero of an increasing function from any guess', (zero, guess) => {
    const found = increasingRoot((x) => Math.cbrt(x - zero) + (x - zero), { ...wide, guess });

    expect(Math.abs(found - zero)).toBeLessThan(1e-9);
  });

  it('stops at the end of its range when there is no zero', () => {
    expect(increasingRoot((x) => x + 1000, { ...wide, guess: 0 })).toBe(-100);
    expect(increasingRoot((x) => x - 1000, { ...wide, guess: 0 })).toBe(100);
  });
});

describe('a riser with', () => {
  const seeded = { seed: 13, numRuns: 25 };
  const share = fc.double({ min: 0.5, max: 0.95, noNaN: true });

  test.prop([share], seeded)('a smaller priming orifice gets its pressure back later', (smaller) => {
    const { prime } = defaultFigures;
    const refill_s = (bore_m: number): number => {
      const told = play(createPlant(figuresWith({ prime: { bore_m } })), brief, 120);
      return turns(told, 'prime-pressure-low-')[0] ?? Infinity;
    };

    expect(refill_s(prime.bore_m * smaller)).toBeGreaterThan(refill_s(prime.bore_m));
  });

  test.prop([share], seeded)('a weaker supply flows less and alarms later', (weaker) => {
    const told = (supplyShare: number) => {
      const { residual_Pa, static_Pa } = defaultFigures.supply;
      const supply = { static_Pa: supplyShare * static_Pa, residual_Pa: supplyShare * residual_Pa };
      return play(createPlant(figuresWith({ supply })), [[0, move('solenoid', 1)]], 30);
    };
    const flow_gpm = (supplyShare: number): number =>
      inUnit(observe(told(supplyShare).plant).flows_m3_s.nozzles, 'gpm');

    expect(flow_gpm(weaker)).toBeLessThan(flow_gpm(1));
    expect(turns(told(weaker), 'waterflow+')[0]!).toBeGreaterThan(turns(told(1), 'waterflow+')[0]!);
  });

  test.prop([share], seeded)(
    'a smaller bleed hole restores later, one with a smaller drain drains longer',
    (smaller) => {
      const { alarmLine, drains } = defaultFigures;
      const restored_s = (figures: typeof defaultFigures): number =>
        turns(play(createPlant(figures), brief.slice(0, 6), 600), 'waterflow-')[0] ?? Infinity;
      const sound_s = restored_s(defaultFigures);

      const hole = { ...alarmLine.hole, bore_m: smaller * alarmLine.hole.bore_m };
      expect(restored_s(figuresWith({ alarmLine: { hole } }))).toBeGreaterThan(sound_s);
      const system_m3_s_sqrtPa = smaller * drains.system_m3_s_sqrtPa;
      expect(restored_s(figuresWith({ drains: { system_m3_s_sqrtPa } }))).toBeGreaterThan(sound_s);
    },
  );

  test.prop([share], seeded)('a smaller solenoid opens its valve more slowly', (smaller) => {
    const opened_s = (solenoidShare: number): number => {
      const solenoid_m3_s_sqrtPa = solenoidShare * defaultFigures.release.solenoid_m3_s_sqrtPa;
      const told = play(
        createPlant(figuresWith({ release: { solenoid_m3_s_sqrtPa } })),
        [[0, move('solenoid', 1)]],
        30,
      );
      return reached(told, 'clapper-open') ?? Infinity;
    };

    expect(opened_s(smaller)).toBeGreaterThan(opened_s(1));
  });
});
