import type { RiserFigures } from '@tidemark/hydraulics';
import type { FaultRecipe, FaultRecipes } from './fault-recipe.ts';
import { chamberLeaks, cv, leak, recipe, share, sized } from './fault-sizes.ts';

/** Rows P1 to P17: the priming line, the chamber and its switch. Ranges of sizes are choices of this project. */
export function primingFaults(figures: RiserFigures): FaultRecipes {
  const leaks = chamberLeaks(figures);
  const { static_Pa } = figures.supply;
  const shut = [{ valve: 'prime', to: 0 }] as const;
  const bore = (factor: number) => ({ patch: { prime: { bore_m: factor * figures.prime.bore_m } } });
  const leaking = (constant: number) => ({ patch: { chamber: { leak_m3_s_sqrtPa: cv(constant) } } });
  const set = (acts: number, returns: number) => ({
    patch: { contacts: { 'prime-pressure-low': { acts: acts * static_Pa, returns: returns * static_Pa } } },
  });
  return {
    'prime-valve-shut': [
      recipe('P1', {}, shut),
      ...sized(
        'P2',
        { what: 'weep of the chamber', unit: 'gpm/psi^0.5', least: 2e-4, usual: 1e-3, most: 1e-2 },
        (weep) => ({ ...leaking(weep), moves: shut }),
      ),
      recipe('P3', {}, shut),
    ],
    'prime-line-plugged': [
      ...sized('P4', share('of strainer and orifice blocked', [0.5, 0.9, 0.98]), (plugged) => ({
        patch: { prime: { plugged } },
      })),
      recipe('P5', { prime: { plugged: 1 } }),
      recipe('P9', { prime: { checkStuckShut: true } }),
    ],
    'prime-orifice-oversize': [
      ...sized('P6', { what: 'bore of the orifice', unit: 'factor', least: 3, usual: 4, most: 6 }, bore),
      ...sized('P7', { what: 'bore of the orifice', unit: 'factor', least: 1.2, usual: 2, most: 2.5 }, bore),
    ],
    'prime-check-leaking': sized(
      'P8',
      { what: 'what it leaks back', unit: 'gpm/psi^0.5', least: 0.02, usual: 0.3, most: 1 },
      (constant) => ({ patch: { prime: { checkLeak_m3_s_sqrtPa: cv(constant) } } }),
    ),
    'prime-air-trapped': sized(
      'P10',
      { what: 'air at one atmosphere', unit: 'L', least: 0.1, usual: 1, most: 2 },
      (litres) => ({ patch: { chamber: { trappedAir_m3: 1e-3 * litres } } }),
    ),
    'prime-chamber-leaking': [
      ...sized(
        'P11',
        leak('leak of the chamber', [0.1 * leaks.unnoticed, leaks.unnoticed, 1.2 * leaks.unnoticed]),
        leaking,
      ),
      ...sized(
        'P12',
        leak('leak of the chamber', [1.3 * leaks.unnoticed, leaks.warning, 0.85 * leaks.tripping]),
        leaking,
      ),
      ...sized('P13', leak('leak of the chamber', [leaks.tripping, leaks.tripping, 10 * leaks.tripping]), leaking),
    ],
    'prime-switch-stuck-normal': [recipe('P14', { contacts: { 'prime-pressure-low': { stuck: 'restored' } } })],
    'prime-switch-stuck-active': [recipe('P15', { contacts: { 'prime-pressure-low': { stuck: 'active' } } })],
    'prime-switch-set-low': sized('P16', share('of the static pressure', [0.3, 0.6, 0.62]), (acts) =>
      set(acts, acts + 0.05),
    ),
    'prime-switch-set-high': sized('P17', share('of the static pressure', [0.9, 0.97, 0.985]), (acts) =>
      set(acts, Math.max(acts, 0.998)),
    ),
  };
}

/** Rows R1 and R4 to R15: solenoid, local manual release, relief. Wiring and the panel's output are the panel's. */
export function releaseFaults(figures: RiserFigures): FaultRecipes {
  const leaks = chamberLeaks(figures);
  const anyLeak = leak('what it passes when shut', [0.1 * leaks.unnoticed, leaks.warning, 10 * leaks.tripping]);
  const inTurn = [leaks.unnoticed, leaks.warning, leaks.tripping].map((constant) => constant / cv(1));
  const leaking = (valve: 'solenoid' | 'manual-release', row: string): readonly FaultRecipe[] =>
    sized(
      row,
      anyLeak,
      (constant) => ({ patch: { valves: { [valve]: { passing_m3_s_sqrtPa: cv(constant) } } } }),
      inTurn,
    );
  const plugged = (blocked: number) => ({ patch: { valves: { solenoid: { plugged: blocked } } } });
  const operated = [{ valve: 'manual-release', to: 1 }] as const;
  return {
    'solenoid-coil-open': [recipe('R1', { valves: { solenoid: { stuckAt: 0 } } })],
    'solenoid-stuck-shut': sized('R4', share('of the port blocked', [0.975, 0.98, 1]), plugged),
    'solenoid-port-plugged': [
      ...sized('R5', share('of the port blocked', [0.92, 0.95, 0.965]), plugged),
      ...sized('R6', share('of the port blocked', [0.3, 0.7, 0.85]), plugged),
      ...sized('R6', { what: 'opening and closing time', unit: 's', least: 0.5, usual: 1.5, most: 5 }, (stroke_s) => ({
        patch: { valves: { solenoid: { stroke_s } } },
      })),
    ],
    'solenoid-stuck-open': [recipe('R7', { valves: { solenoid: { stuckAt: 1 } } })],
    'solenoid-leaking': leaking('solenoid', 'R8'),
    'manual-release-operated': [recipe('R9', {}, operated)],
    'manual-release-leaking': leaking('manual-release', 'R10'),
    'manual-release-left-open': [recipe('R11', {}, operated)],
    'manual-release-jammed': [recipe('R12', { valves: { 'manual-release': { stuckAt: 0 } } })],
    'relief-stuck-shut': [recipe('R13', { relief: { stuck: 'shut' } }), recipe('R15', { relief: { plugged: 1 } })],
    'relief-stuck-open': [
      recipe('R14', { relief: { stuck: 'open' } }),
      ...sized('R14', anyLeak, (constant) => ({ patch: { relief: { leak_m3_s_sqrtPa: cv(constant) } } })),
    ],
  };
}
