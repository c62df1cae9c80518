import { clapperExcess_m3 } from './chamber.ts';
import { stepNetwork } from './network.ts';
import type { Parameters } from './parameters.ts';
import { increasingRoot } from './root.ts';
import { draftOf } from './state.ts';
import type { Draft } from './state.ts';

/** Far below a thousandth of the stroke. */
const residual_m3 = 1e-10;

/**
 * Puts the clapper where chamber and network agree at the end of the step. Otherwise the forces on it are those of the
 * step before, which is cheaper and good enough while they change little. They do not when a hair's breadth of opening
 * takes all the pressure of the inlet away (a supply valve that is only cracked): there a clapper without mass would
 * flutter from step to step, and the real one throttles.
 */
export function coupleClapper(draft: Draft, parameters: Parameters, step_s: number): void {
  if (parameters.clapper.stuck !== undefined) return;
  const networkAt = (clapper: number): Draft => {
    const trial = draftOf(draft);
    trial.clapper = clapper;
    stepNetwork(trial, parameters, step_s);
    return trial;
  };
  const clapper = increasingRoot((place) => -clapperExcess_m3(draft, networkAt(place), { parameters, step_s }), {
    guess: draft.clapper,
    stride: 0.005,
    low: 0,
    high: 1,
    residual: residual_m3,
  });
  const agreed = networkAt(clapper);
  draft.inlet_Pa = agreed.inlet_Pa;
  draft.outlet_Pa = agreed.outlet_Pa;
  draft.supply_Pa = agreed.supply_Pa;
}
