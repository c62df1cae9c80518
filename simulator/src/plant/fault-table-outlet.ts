import { orificeConstant_m3_s_sqrtPa } from '@tidemark/hydraulics';
import type { RiserFigures } from '@tidemark/hydraulics';
import type { FaultRecipes } from './fault-recipe.ts';
import { cv, recipe } from './fault-sizes.ts';

/** 0.1 gpm under 100 psi. */
const weep = cv(0.01);

/** Rows V1 to V9: the deluge valve, its drip, nozzles and pipes, drains left open. */
export const pipingFaults = (): FaultRecipes => ({
  'valve-stuck-shut': [recipe('V1', { clapper: { stuck: 'shut' } })],
  'valve-hung-open': [recipe('V2', { clapper: { stuck: 'open' } })],
  'seat-weeping': [recipe('V3', { clapper: { seatLeak_m3_s_sqrtPa: weep } })],
  'drip-plugged': [recipe('V4', { clapper: { seatLeak_m3_s_sqrtPa: weep }, drip: { plugged: 1 } })],
  'nozzles-obstructed': [
    recipe('V5', { nozzles: { obstructed: 0.6 } }),
    recipe('V5', { nozzles: { obstructed: 0.95 } }),
  ],
  'pipe-broken': [recipe('V6', { nozzles: { lossFactor: 0.4 } })],
  'drain-left-open': [
    recipe('V7', {}, [{ valve: 'system-drain', to: 1 }]),
    recipe('V8', {}, [{ valve: 'supply-drain', to: 1 }]),
    recipe('V9', {}, [{ valve: 'auxiliary-drain', to: 1 }]),
  ],
});

/** Rows A1 to A18: the alarm line, its test valve and the waterflow switch. */
export function alarmLineFaults({ alarmLine, supply, switches }: RiserFigures): FaultRecipes {
  const hole = orificeConstant_m3_s_sqrtPa(alarmLine.hole);
  const { acts_Pa, returns_Pa } = switches.waterflow;
  const holding = (line_Pa: number): number => hole * Math.sqrt(line_Pa / (supply.static_Pa - line_Pa));
  const isolated = [{ valve: 'alarm-line', to: 0 }] as const;
  const weeping = (passing_m3_s_sqrtPa: number) => ({ valves: { 'alarm-test': { passing_m3_s_sqrtPa } } });
  const waterflow = (patch: { readonly [Key in 'acts' | 'returns' | 'retard_s']?: number }) => ({
    contacts: { waterflow: patch },
  });
  return {
    'alarm-line-isolated': [
      recipe('A1', { alarmLine: { isolates: 'switch' } }, isolated),
      recipe('A2', { alarmLine: { isolates: 'line' } }, isolated),
      recipe('A3', { alarmLine: { isolates: 'switch' } }, isolated),
    ],
    'alarm-line-plugged': [
      recipe('A4', { alarmLine: { checkPlugged: 1 } }),
      recipe('A4', { alarmLine: { checkPlugged: 1, holePlugged: 1 } }),
      recipe('A5', { alarmLine: { checkPlugged: 0.9995 } }),
    ],
    'bleed-hole-plugged': [
      recipe('A6', { alarmLine: { holePlugged: 1 } }),
      recipe('A7', { alarmLine: { holePlugged: 0.5 } }),
    ],
    'bleed-hole-oversize': [recipe('A8', { alarmLine: { holeFactor: 4 } })],
    'drain-check-leaking': [
      recipe('A9', { alarmLine: { checkLeak_m3_s_sqrtPa: cv(3) } }),
      recipe('A9', { alarmLine: { checkLeak_m3_s_sqrtPa: cv(30) } }),
    ],
    'alarm-test-valve-leaking': [
      recipe('A10', weeping((holding(acts_Pa) + holding(returns_Pa)) / 2)),
      recipe('A11', weeping(1.2 * holding(acts_Pa))),
    ],
    'alarm-test-valve-left-open': [recipe('A12', {}, [{ valve: 'alarm-test', to: 1 }])],
    'flow-switch-stuck-normal': [recipe('A13', { contacts: { waterflow: { stuck: 'restored' } } })],
    'flow-switch-stuck-active': [recipe('A14', { contacts: { waterflow: { stuck: 'active' } } })],
    'flow-switch-set-high': [recipe('A15', waterflow({ acts: 8 * acts_Pa, returns: 8 * returns_Pa }))],
    'flow-switch-reset-low': [recipe('A16', waterflow({ returns: returns_Pa / 6 }))],
    'flow-retard-misset': [recipe('A17', waterflow({ retard_s: 45 }))],
    'flow-switch-chatter': [recipe('A18', { contacts: { waterflow: { chatter: { pairs: 3, seed: 18 } } } })],
  };
}
