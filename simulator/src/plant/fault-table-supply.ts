import type { RiserFigures } from '@tidemark/hydraulics';
import type { FaultForm, FaultRecipes } from './fault-recipe.ts';
import { cv, recipe, share, sized } from './fault-sizes.ts';

/** Rows S1 to S12: the supply, its valve and the valve's switch. Ranges of sizes are choices of this project. */
export function supplyFaults({ supply }: RiserFigures): FaultRecipes {
  const { static_Pa } = supply;
  return {
    'supply-shut-unseen': [recipe('S1', deadSwitch, [{ valve: 'supply', to: 0 }])],
    'supply-partly-shut': sized(
      'S2',
      share('opening of the valve', [0.05, 0.3, 0.6]),
      (to) => ({ patch: deadSwitch, moves: [{ valve: 'supply', to }] }),
      [0.3, 0.15],
    ),
    'supply-switch-misset': sized('S3', share('opening at which it acts', [0.1, 0.5, 0.85]), (acts) => ({
      patch: { contacts: { 'supply-valve': { acts, returns: acts + 0.1 } } },
    })),
    'supply-switch-stuck-normal': [recipe('S4', deadSwitch)],
    'supply-switch-stuck-active': [recipe('S5', { contacts: { 'supply-valve': { stuck: 'active' } } })],
    'supply-switch-vibrating': sized(
      'S6',
      { what: 'false changes in pairs', unit: 'count', least: 1, usual: 4, most: 20 },
      (pairs) => ({
        patch: { contacts: { 'supply-valve': { stuck: 'active', chatter: { pairs: Math.round(pairs), seed: 6 } } } },
      }),
    ),
    'supply-weak': sized('S7', share('residual of the static pressure', [0.15, 0.4, 0.7]), (residual) => ({
      patch: { supply: { residual_Pa: residual * static_Pa } },
    })),
    'supply-static-low': sized('S8', share('of the static pressure', [0.45, 0.6, 0.9]), (left) => ({
      patch: { supply: { static_Pa: left * static_Pa, residual_Pa: 0.75 * left * static_Pa } },
    })),
    'supply-dip': [
      ...sized('S9', share('of the static pressure lost', [0.3, 0.8, 0.95]), (lost) =>
        passing({ supply: { shift_Pa: -lost * static_Pa } }, { lasts_s: dip_s }),
      ),
      ...sized('S11', share('of the static pressure lost', [0.5, 0.8, 0.95]), (lost) =>
        passing(
          { supply: { shift_Pa: -lost * static_Pa } },
          {
            lasts_s: dip_s,
            stays: { prime: { checkLeak_m3_s_sqrtPa: cv(0.3) }, chamber: { trappedAir_m3: 1e-3 } },
          },
        ),
      ),
    ],
    'supply-surge': sized('S10', share('of the static pressure added', [0.2, 0.8, 1.5]), (added) =>
      passing({ supply: { shift_Pa: added * static_Pa } }, { lasts_s: surge_s }),
    ),
    'supply-valve-passing': sized(
      'S12',
      { what: 'what it passes when shut', unit: 'gpm/psi^0.5', least: 0.5, usual: 2, most: 30 },
      (passes) => ({ patch: { valves: { supply: { passing_m3_s_sqrtPa: cv(passes) } } } }),
      [2, 20],
    ),
  };
}

const deadSwitch = { contacts: { 'supply-valve': { stuck: 'restored' } } } as const;

/** A draught by others lasts some seconds, a surge a quarter of one (choices of this project). */
const dip_s = 20;
const surge_s = 0.25;

/** A disturbance that passes, and what of the fault stays. */
const passing = (
  patch: FaultForm['patch'],
  { lasts_s, stays = {} }: { readonly lasts_s: number; readonly stays?: FaultForm['patch'] },
): Partial<FaultForm> => ({
  patch: { ...patch, ...stays },
  spans: [
    { patch: stays, after_s: 0 },
    { patch, after_s: 0, lasts_s },
  ],
});
