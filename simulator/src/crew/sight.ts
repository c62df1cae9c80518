import type { SignalName } from '@tidemark/signals';
import type { PanelDisplay } from '../panel/panel-front.ts';
import type { PlantView } from '../plant/observe.ts';

/** What a person on site can see and hear, and nothing else: gauges, water, the panel's front. */
export interface Sight {
  readonly gauges_Pa: { readonly supply: number; readonly priming: number };
  /** Whether a stream is seen or heard; a trickle is none. */
  readonly water: {
    readonly nozzles: boolean;
    readonly systemDrains: boolean;
    readonly supplyDrain: boolean;
    readonly ventCup: boolean;
  };
  readonly panel: PanelDisplay;
}

/** What somebody may wait to see. */
export type Sighting =
  | 'water-at-nozzles'
  | 'nozzles-dry'
  | 'water-at-drains'
  | 'drains-dry'
  | 'vent-running'
  | 'vent-dry'
  /** The priming gauge shows nine tenths of the supply gauge, or no longer. */
  | 'priming-up'
  | 'priming-down'
  /** No lamp is lit. */
  | 'panel-normal'
  | 'panel-alarm'
  | { readonly signal: SignalName; readonly shows: 'active' | 'restored' };

/** A stream that somebody sees or hears: 6 L/min (choice of this project). */
const stream_m3_s = 1e-4;

/** The gauge of a primed chamber against the supply's: what a person would call equal (choice of this project). */
const primedShare = 0.9;

/** What there is to be seen of a plant and its panel. */
export const sightOf = ({ flows_m3_s, pressures_Pa }: PlantView, panel: PanelDisplay): Sight => ({
  gauges_Pa: { supply: pressures_Pa.supply, priming: pressures_Pa.chamber },
  water: {
    nozzles: flows_m3_s.nozzles > stream_m3_s,
    systemDrains: flows_m3_s.outletDrains > stream_m3_s,
    supplyDrain: flows_m3_s.supplyDrain > stream_m3_s,
    ventCup: flows_m3_s.vents > stream_m3_s,
  },
  panel,
});

/** Whether somebody who looks sees it. */
export function sees({ gauges_Pa, panel, water }: Sight, what: Sighting): boolean {
  if (typeof what === 'object') return panel.active.includes(what.signal) === (what.shows === 'active');
  switch (what) {
    case 'water-at-nozzles':
      return water.nozzles;
    case 'nozzles-dry':
      return !water.nozzles;
    case 'water-at-drains':
      return water.systemDrains;
    case 'drains-dry':
      return !water.systemDrains;
    case 'vent-running':
      return water.ventCup;
    case 'vent-dry':
      return !water.ventCup;
    case 'priming-up':
      return gauges_Pa.priming >= primedShare * gauges_Pa.supply;
    case 'priming-down':
      return gauges_Pa.priming < primedShare * gauges_Pa.supply;
    case 'panel-normal':
      return !panel.alarm && !panel.supervisory && !panel.trouble;
    case 'panel-alarm':
      return panel.alarm;
  }
}
