import type { RiserFigures } from '@tidemark/hydraulics';
import type { FaultRecipes } from './fault-recipe.ts';
import { cv, recipe } from './fault-sizes.ts';

/** Rows S1 to S12: the supply, its valve and the valve's switch. */
export function supplyFaults({ supply }: RiserFigures): FaultRecipes {
  const deadSwitch = { contacts: { 'supply-valve': { stuck: 'restored' } } } as const;
  return {
    'supply-shut-unseen': [recipe('S1', deadSwitch, [{ valve: 'supply', to: 0 }])],
    'supply-partly-shut': [
      recipe('S2', deadSwitch, [{ valve: 'supply', to: 0.3 }]),
      recipe('S2', deadSwitch, [{ valve: 'supply', to: 0.15 }]),
    ],
    'supply-switch-misset': [recipe('S3', { contacts: { 'supply-valve': { acts: 0.5, returns: 0.6 } } })],
    'supply-switch-stuck-normal': [recipe('S4', deadSwitch)],
    'supply-switch-stuck-active': [recipe('S5', { contacts: { 'supply-valve': { stuck: 'active' } } })],
    'supply-switch-vibrating': [
      recipe('S6', { contacts: { 'supply-valve': { stuck: 'active', chatter: { pairs: 4, seed: 6 } } } }),
    ],
    'supply-weak': [recipe('S7', { supply: { residual_Pa: 0.4 * supply.static_Pa } })],
    'supply-static-low': [
      recipe('S8', { supply: { static_Pa: 0.6 * supply.static_Pa, residual_Pa: 0.45 * supply.static_Pa } }),
    ],
    'supply-dip': [
      recipe('S9', { supply: { shift_Pa: -0.8 * supply.static_Pa } }),
      recipe('S11', {
        supply: { shift_Pa: -0.8 * supply.static_Pa },
        prime: { checkLeak_m3_s_sqrtPa: cv(0.3) },
        chamber: { trappedAir_m3: 1e-3 },
      }),
    ],
    'supply-surge': [recipe('S10', { supply: { shift_Pa: 0.8 * supply.static_Pa } })],
    'supply-valve-passing': [
      recipe('S12', { valves: { supply: { passing_m3_s_sqrtPa: cv(2) } } }),
      recipe('S12', { valves: { supply: { passing_m3_s_sqrtPa: cv(20) } } }),
    ],
  };
}
