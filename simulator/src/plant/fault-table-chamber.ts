import type { RiserFigures } from '@tidemark/hydraulics';
import type { FaultRecipes } from './fault-recipe.ts';
import { chamberLeaks, cv, recipe } from './fault-sizes.ts';

/** Rows P1 to P17: the priming line, the chamber and its switch. */
export function primingFaults(figures: RiserFigures): FaultRecipes {
  const leaks = chamberLeaks(figures);
  const { static_Pa } = figures.supply;
  const shut = [{ valve: 'prime', to: 0 }] as const;
  return {
    'prime-valve-shut': [
      recipe('P1', {}, shut),
      recipe('P2', { chamber: { leak_m3_s_sqrtPa: cv(0.001) } }, shut),
      recipe('P3', {}, shut),
    ],
    'prime-line-plugged': [
      recipe('P4', { prime: { plugged: 0.9 } }),
      recipe('P5', { prime: { plugged: 1 } }),
      recipe('P9', { prime: { checkStuckShut: true } }),
    ],
    'prime-orifice-oversize': [
      recipe('P6', { prime: { bore_m: 4 * figures.prime.bore_m } }),
      recipe('P7', { prime: { bore_m: 2 * figures.prime.bore_m } }),
    ],
    'prime-check-leaking': [recipe('P8', { prime: { checkLeak_m3_s_sqrtPa: cv(0.3) } })],
    'prime-air-trapped': [recipe('P10', { chamber: { trappedAir_m3: 1e-3 } })],
    'prime-chamber-leaking': [
      recipe('P11', { chamber: { leak_m3_s_sqrtPa: leaks.unnoticed } }),
      recipe('P12', { chamber: { leak_m3_s_sqrtPa: leaks.warning } }),
      recipe('P13', { chamber: { leak_m3_s_sqrtPa: leaks.tripping } }),
    ],
    'prime-switch-stuck-normal': [recipe('P14', { contacts: { 'prime-pressure-low': { stuck: 'restored' } } })],
    'prime-switch-stuck-active': [recipe('P15', { contacts: { 'prime-pressure-low': { stuck: 'active' } } })],
    'prime-switch-set-low': [
      recipe('P16', { contacts: { 'prime-pressure-low': { acts: 0.6 * static_Pa, returns: 0.65 * static_Pa } } }),
    ],
    'prime-switch-set-high': [
      recipe('P17', { contacts: { 'prime-pressure-low': { acts: 0.97 * static_Pa, returns: 0.998 * static_Pa } } }),
    ],
  };
}

/** Rows R1 and R4 to R15: solenoid, local manual release, relief. Wiring and the panel's output are the panel's. */
export function releaseFaults(figures: RiserFigures): FaultRecipes {
  const leaks = chamberLeaks(figures);
  const leaking = (valve: 'solenoid' | 'manual-release', row: string) => [
    recipe(row, { valves: { [valve]: { passing_m3_s_sqrtPa: leaks.unnoticed } } }),
    recipe(row, { valves: { [valve]: { passing_m3_s_sqrtPa: leaks.warning } } }),
    recipe(row, { valves: { [valve]: { passing_m3_s_sqrtPa: leaks.tripping } } }),
  ];
  const operated = [{ valve: 'manual-release', to: 1 }] as const;
  return {
    'solenoid-coil-open': [recipe('R1', { valves: { solenoid: { stuckAt: 0 } } })],
    'solenoid-stuck-shut': [recipe('R4', { valves: { solenoid: { plugged: 0.98 } } })],
    'solenoid-port-plugged': [
      recipe('R5', { valves: { solenoid: { plugged: 0.95 } } }),
      recipe('R6', { valves: { solenoid: { plugged: 0.7 } } }),
      recipe('R6', { valves: { solenoid: { stroke_s: 1.5 } } }),
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
      recipe('R14', { relief: { leak_m3_s_sqrtPa: leaks.warning } }),
    ],
  };
}
