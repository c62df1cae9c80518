import { atmosphere_Pa } from '@tidemark/hydraulics';
import { checkedFlow_m3_s, openConstant, position, signedFlow_m3_s } from './openings.ts';
import type { Parameters } from './parameters.ts';
import { increasingRoot } from './root.ts';
import type { Draft, PlantState } from './state.ts';

const residual_m3 = 1e-14;

/** What the alarm line is connected to during a step. */
interface LinePaths {
  readonly test_m3_s_sqrtPa: number;
  readonly source_Pa: number;
  readonly check_m3_s_sqrtPa: number;
  readonly leak_m3_s_sqrtPa: number;
  readonly hole_m3_s_sqrtPa: number;
  readonly crack_Pa: number;
  readonly outlet_Pa: number;
  /** Pressure the hole bleeds against. */
  readonly bleedsTo_Pa: number;
  /** What the hole lets into the line at the start of the step, and the weight that start has in the step's mean. */
  readonly bleedBefore_m3_s: number;
  readonly weightBefore: number;
}

/**
 * One implicit step of the alarm line: filled by the test valve or, through the drain check, from the outlet; emptied
 * through the hole into the outlet. What it exchanges with the outlet is taken from or given to the piping at once, so
 * that no water is lost between the two steps.
 */
export function stepLine(draft: Draft, parameters: Parameters, step_s: number): void {
  const paths = withBleed(linePaths(draft, parameters), draft, { volume_m3: parameters.alarmLine.volume_m3, step_s });
  const volume_m3 = parameters.alarmLine.volume_m3;
  const water_m3 = draft.lineWater_m3;
  const line_Pa = increasingRoot(
    (gauge_Pa) =>
      (volume_m3 * gauge_Pa) / (gauge_Pa + atmosphere_Pa) -
      water_m3 -
      step_s * (tested(paths, gauge_Pa) + throughCheck(paths, gauge_Pa) + throughHole(paths, gauge_Pa)),
    {
      guess: draft.line_Pa,
      stride: 100 + 0.02 * draft.line_Pa,
      low: 0,
      high: Math.max(paths.source_Pa, paths.outlet_Pa, draft.line_Pa) + 1e3,
      residual: residual_m3,
    },
  );
  const test_m3_s = tested(paths, line_Pa);
  const checked_m3 = step_s * throughCheck(paths, line_Pa);
  const bled_m3 = -step_s * throughHole(paths, line_Pa);
  const toOutlet = parameters.alarmLine.bleedsToOutlet;
  draft.line_Pa = line_Pa;
  draft.lineWater_m3 = Math.max(0, water_m3 + step_s * test_m3_s + checked_m3 - bled_m3);
  draft.pipingWater_m3 += (toOutlet ? bled_m3 : 0) - checked_m3;
  draft.drained_m3 += toOutlet ? 0 : bled_m3;
  draft.test_m3_s = test_m3_s;
  draft.supplied_m3 += step_s * test_m3_s;
  const seen = parameters.alarmLine.isolates === 'line' || position(draft, parameters, 'alarm-line') > 0;
  if (seen) draft.switch_Pa = line_Pa;
}

function linePaths(state: PlantState, parameters: Parameters): LinePaths {
  const { alarmLine } = parameters;
  const open = alarmLine.isolates === 'line' ? position(state, parameters, 'alarm-line') : 1;
  return {
    test_m3_s_sqrtPa: openConstant(state, parameters, 'alarm-test'),
    source_Pa: Math.max(0, alarmLine.testUpstream ? state.supply_Pa : state.inlet_Pa),
    check_m3_s_sqrtPa: alarmLine.check_m3_s_sqrtPa * open,
    leak_m3_s_sqrtPa: alarmLine.checkLeak_m3_s_sqrtPa * open,
    hole_m3_s_sqrtPa: alarmLine.hole_m3_s_sqrtPa * open,
    crack_Pa: alarmLine.crack_Pa,
    outlet_Pa: Math.max(0, state.outlet_Pa),
    bleedsTo_Pa: alarmLine.bleedsToOutlet ? Math.max(0, state.outlet_Pa) : 0,
    bleedBefore_m3_s: 0,
    weightBefore: 0,
  };
}

/** Share of its excess water that the line may lose in a step for the mean of both ends to be the better estimate. */
const gentle = 0.2;

/**
 * A slow bleed-down is followed to second order by the mean of the hole's flow at both ends of the step (trapezoidal
 * rule); near equilibrium that would ring, so there the end alone counts.
 */
function withBleed(
  paths: LinePaths,
  state: PlantState,
  { step_s, volume_m3 }: { readonly step_s: number; readonly volume_m3: number },
): LinePaths {
  const bleedBefore_m3_s = signedFlow_m3_s(paths.hole_m3_s_sqrtPa, paths.bleedsTo_Pa - state.line_Pa);
  const excess_m3 = state.lineWater_m3 - (volume_m3 * paths.bleedsTo_Pa) / (paths.bleedsTo_Pa + atmosphere_Pa);
  const slow = -bleedBefore_m3_s * step_s < gentle * excess_m3;
  return { ...paths, bleedBefore_m3_s, weightBefore: slow ? 0.5 : 0 };
}

/** Through the test valve, m³/s; backwards when it is open to a supply that has gone. */
const tested = (paths: LinePaths, line_Pa: number): number =>
  signedFlow_m3_s(paths.test_m3_s_sqrtPa, paths.source_Pa - line_Pa);

/** Through the check from the outlet, less what a leaking check lets back, m³/s. */
const throughCheck = (paths: LinePaths, line_Pa: number): number =>
  checkedFlow_m3_s(paths.check_m3_s_sqrtPa, paths.outlet_Pa - paths.crack_Pa - line_Pa) -
  checkedFlow_m3_s(paths.leak_m3_s_sqrtPa, line_Pa - paths.outlet_Pa);

/** Through the hole into the line, m³/s: negative while it bleeds. A hole in the check's disc passes both ways. */
const throughHole = (paths: LinePaths, line_Pa: number): number =>
  paths.weightBefore * paths.bleedBefore_m3_s +
  (1 - paths.weightBefore) * signedFlow_m3_s(paths.hole_m3_s_sqrtPa, paths.bleedsTo_Pa - line_Pa);
