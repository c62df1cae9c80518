import type { SignalName } from '@tidemark/signals';
import { stands } from './line.ts';
import type { Panel } from './panel-state.ts';

/** What somebody in front of the panel sees: three lamps, and the signals listed as active. Dark when it is down. */
export interface PanelDisplay {
  readonly alarm: boolean;
  readonly supervisory: boolean;
  readonly trouble: boolean;
  readonly active: readonly SignalName[];
}

/** The front of the panel. The loss of primary power is shown at once, however long the station is not told of it. */
export function panelFront({ energized, groups, lines, running, states }: Panel): PanelDisplay {
  if (!running) return { alarm: false, supervisory: false, trouble: false, active: [] };
  const shown = lines.flatMap(({ signal }, index) => {
    const state = states[index];
    if (state === undefined) return [];
    return stands(state) || state.accepted || (signal === 'ac-power' && state.sampled === true) ? [signal] : [];
  });
  return {
    alarm: groups.alarm.lit,
    supervisory: groups.supervisory.lit,
    trouble: groups.trouble.lit || shown.includes('ac-power'),
    active: [...new Set(energized ? [...shown, 'solenoid' as const] : shown)],
  };
}
