import { orificeConstant_m3_s_sqrtPa } from '@tidemark/hydraulics';
import type { RiserFigures } from '@tidemark/hydraulics';
import type { FaultForm, FaultRecipes } from './fault-recipe.ts';
import { cv, leak, recipe, share, sized } from './fault-sizes.ts';

/** A weep in gpm under 100 psi, as a flow constant. */
const weep = (flow_gpm: number): number => cv(flow_gpm / 10);
const weeps = { what: 'weep under 100 psi', unit: 'gpm', least: 0.02, usual: 0.1, most: 5 } as const;

/** Rows V1 to V9: the deluge valve, its drip, nozzles and pipes, drains left open. Ranges are choices of this project. */
export const pipingFaults = (): FaultRecipes => ({
  'valve-stuck-shut': [recipe('V1', { clapper: { stuck: 'shut' } })],
  'valve-hung-open': [recipe('V2', { clapper: { stuck: 'open' } })],
  'seat-weeping': sized('V3', weeps, (flow_gpm) => ({ patch: { clapper: { seatLeak_m3_s_sqrtPa: weep(flow_gpm) } } })),
  'drip-plugged': sized('V4', weeps, (flow_gpm) => ({
    patch: { clapper: { seatLeak_m3_s_sqrtPa: weep(flow_gpm) }, drip: { plugged: 1 } },
  })),
  'nozzles-obstructed': sized(
    'V5',
    share("of each nozzle's passage blocked", [0.2, 0.6, 0.97]),
    (obstructed) => ({ patch: { nozzles: { obstructed } } }),
    [0.6, 0.95],
  ),
  'pipe-broken': sized(
    'V6',
    { what: 'loss of the nozzles', unit: 'factor', least: 0.1, usual: 0.4, most: 0.9 },
    (lossFactor) => ({ patch: { nozzles: { lossFactor } } }),
  ),
  'drain-left-open': [
    ...leftOpen('V7', 'system-drain'),
    ...leftOpen('V8', 'supply-drain'),
    ...leftOpen('V9', 'auxiliary-drain'),
  ],
});

const leftOpen = (row: string, valve: 'system-drain' | 'supply-drain' | 'auxiliary-drain' | 'alarm-test') =>
  sized(row, share('opening of the valve', [0.1, 1, 1]), (to) => ({ moves: [{ valve, to }] }));

/** Rows A1 to A19: the alarm line, its test valve and the waterflow switch. Ranges are choices of this project. */
export function alarmLineFaults({ alarmLine, supply, switches }: RiserFigures): FaultRecipes {
  const hole = orificeConstant_m3_s_sqrtPa(alarmLine.hole);
  const { acts_Pa, returns_Pa } = switches.waterflow;
  const holding = (line_Pa: number): number => hole * Math.sqrt(line_Pa / (supply.static_Pa - line_Pa));
  const [keeps, makes] = [holding(returns_Pa), holding(acts_Pa)];
  const isolated = [{ valve: 'alarm-line', to: 0 }] as const;
  const weeping = (constant: number) => ({
    patch: { valves: { 'alarm-test': { passing_m3_s_sqrtPa: cv(constant) } } },
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
      ...sized('A5', share('of the check blocked', [0.999, 0.9995, 0.9999]), (checkPlugged) => ({
        patch: { alarmLine: { checkPlugged } },
      })),
    ],
    'bleed-hole-plugged': [
      recipe('A6', { alarmLine: { holePlugged: 1 } }),
      ...sized('A7', share('of the hole blocked', [0.1, 0.5, 0.9]), (holePlugged) => ({
        patch: { alarmLine: { holePlugged } },
      })),
    ],
    'bleed-hole-oversize': sized(
      'A8',
      { what: 'flow constant of the hole', unit: 'factor', least: 1.5, usual: 4, most: 10 },
      (holeFactor) => ({ patch: { alarmLine: { holeFactor } } }),
    ),
    'drain-check-leaking': sized(
      'A9',
      { what: 'what it leaks back', unit: 'gpm/psi^0.5', least: 0.5, usual: 3, most: 40 },
      (constant) => ({ patch: { alarmLine: { checkLeak_m3_s_sqrtPa: cv(constant) } } }),
      [3, 30],
    ),
    'alarm-test-valve-leaking': [
      ...sized('A10', leak('what it passes when shut', [1.05 * keeps, (keeps + makes) / 2, 0.95 * makes]), weeping),
      ...sized('A11', leak('what it passes when shut', [1.05 * makes, 1.2 * makes, 20 * makes]), weeping),
    ],
    'alarm-test-valve-left-open': leftOpen('A12', 'alarm-test'),
    ...waterflowSwitchFaults({ supply, switches }),
  };
}

/** Rows A13 to A19. */
function waterflowSwitchFaults({ supply, switches }: Pick<RiserFigures, 'supply' | 'switches'>): FaultRecipes {
  const { acts_Pa, returns_Pa } = switches.waterflow;
  const waterflow = (patch: { readonly [Key in 'acts' | 'returns' | 'retard_s']?: number }) => ({
    patch: { contacts: { waterflow: patch } },
  });
  return {
    'flow-switch-stuck-normal': [recipe('A13', { contacts: { waterflow: { stuck: 'restored' } } })],
    'flow-switch-stuck-active': [recipe('A14', { contacts: { waterflow: { stuck: 'active' } } })],
    'flow-switch-set-high': sized(
      'A15',
      { what: 'its set point', unit: 'factor', least: 2, usual: 8, most: 12 },
      (factor) => waterflow({ acts: factor * acts_Pa, returns: factor * returns_Pa }),
    ),
    'flow-switch-reset-low': sized('A16', share('of its return pressure', [0.05, 1 / 6, 0.6]), (left) =>
      waterflow({ returns: left * returns_Pa }),
    ),
    'flow-retard-misset': sized('A17', { what: 'retard', unit: 's', least: 5, usual: 45, most: 120 }, (retard_s) =>
      waterflow({ retard_s }),
    ),
    'flow-switch-chatter': [
      ...sized('A18', { what: 'false changes in pairs', unit: 'count', least: 1, usual: 3, most: 20 }, (pairs) => ({
        patch: { contacts: { waterflow: { chatter: { pairs: Math.round(pairs), seed: 18 } } } },
      })),
      ...sized('A19', { what: 'period of the supply', unit: 's', least: 5, usual: 20, most: 60 }, (period_s) =>
        pulsing(period_s, supply.static_Pa),
      ),
    ],
  };
}

/** A switch set close to what the line shows in full flow, under a supply that pulses as a pump cuts in and out. */
function pulsing(period_s: number, static_Pa: number): Partial<FaultForm> {
  const close = { contacts: { waterflow: { acts: 0.78 * static_Pa, returns: 0.74 * static_Pa } } };
  const low = { supply: { shift_Pa: -0.15 * static_Pa } };
  const pulses = Array.from({ length: pulseCount }, (_, pulse) => ({
    patch: low,
    after_s: (pulse + 0.5) * period_s,
    lasts_s: period_s / 2,
  }));
  return { patch: close, spans: [{ patch: close, after_s: 0 }, ...pulses] };
}

/** So often the supply dips and comes back (choice of this project). */
const pulseCount = 60;
