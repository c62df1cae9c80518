import { fc, test } from '@fast-check/vitest';
import { defaultFigures, figuresWith, predictWindows } from '@tidemark/hydraulics';
import type { RiserFigures } from '@tidemark/hydraulics';
import { inUnit } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import { chapters, reached, tell, turns } from './story.ts';

/** A panel scans once in a second by default; a window counts as kept within that. */
const scan_s = 1;

/** Every span of the story against its window; a span that never came is not inside. */
function expectInsideWindows(figures: RiserFigures): void {
  const told = tell(undefined, [], figures);
  const span_s = (name: string, from: number): number => (turns(told, name, { from })[0] ?? Number.NaN) - from;
  const { discharge, drains, reset, test, testShut } = chapters;
  const spans = {
    releaseToPrimeLow: span_s('prime-pressure-low+', discharge),
    releaseToWaterflow: span_s('waterflow+', discharge),
    releaseToFullOpen: (reached(told, 'clapper-open') ?? Number.NaN) - discharge,
    releaseToPipingFull: (reached(told, 'piping-full') ?? Number.NaN) - discharge,
    drainsOpenToFlowRestored: span_s('waterflow-', drains),
    resetToPrimeRestored: span_s('prime-pressure-low-', reset),
    testOpenToWaterflow: span_s('waterflow+', test),
    testShutToFlowRestored: span_s('waterflow-', testShut),
  };
  const windows = predictWindows(figures);
  for (const [name, span] of Object.entries(spans)) {
    const { max_s, min_s } = windows[name as keyof typeof spans];
    expect(span, name).toBeGreaterThan(min_s - scan_s);
    expect(span, name).toBeLessThan(max_s + scan_s);
  }
}

describe('the predicted windows hold for', () => {
  const si = (psi: number): number => psi / inUnit(1, 'psi');
  const cv = (gpmPerRootPsi: number): number => gpmPerRootPsi / inUnit(1, 'gpm/psi^0.5');

  it.each([
    ['the default riser', defaultFigures],
    ['many nozzles', figuresWith({ nozzles: { count: 60 } })],
    [
      'a delayed waterflow switch',
      figuresWith({ switches: { waterflow: { acts_Pa: si(5), returns_Pa: si(3), retard_s: 15 } } }),
    ],
  ])('%s', (_name, figures) => {
    expectInsideWindows(figures);
  });

  const range = (min: number, max: number) => fc.double({ min, max, noNaN: true });
  const risers = fc
    .record({
      static_Pa: range(si(50), si(150)),
      residual: range(0.6, 0.9),
      areaRatio: range(1.3, 2.2),
      closingForce_N: range(50, 300),
      trappedAir_m3: range(5e-6, 1e-4),
      orifice_m: range(2.4e-3, 4e-3),
      solenoid: range(2, 6),
      solenoidStroke_s: range(0.03, 0.4),
      count: fc.integer({ min: 8, max: 40 }),
      height_m: range(3, 12),
      line_m3: range(3e-4, 1.5e-3),
      hole_m: range(9e-4, 2.4e-3),
      drain: range(25, 60),
    })
    .map((drawn) =>
      figuresWith({
        supply: { static_Pa: drawn.static_Pa, residual_Pa: drawn.residual * drawn.static_Pa },
        delugeValve: { areaRatio: drawn.areaRatio, closingForce_N: drawn.closingForce_N },
        chamber: { trappedAir_m3: drawn.trappedAir_m3 },
        prime: { bore_m: drawn.orifice_m },
        release: { solenoid_m3_s_sqrtPa: cv(drawn.solenoid), solenoidStroke_s: drawn.solenoidStroke_s },
        nozzles: { count: drawn.count },
        piping: {
          ...defaultFigures.piping,
          riser: { ...defaultFigures.piping.riser, height_m: drawn.height_m },
        },
        alarmLine: { volume_m3: drawn.line_m3, hole: { bore_m: drawn.hole_m, dischargeCoefficient: 0.7 } },
        drains: { system_m3_s_sqrtPa: cv(drawn.drain) },
      }),
    );

  test.prop([risers], { seed: 42, numRuns: 60 })('any riser within the plausible ranges', (figures) => {
    expectInsideWindows(figures);
  });
});
