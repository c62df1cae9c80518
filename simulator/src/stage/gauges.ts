import type { ReadingPoint } from '../panel/panel-settings.ts';
import type { PlantState } from '../plant/state.ts';

/** A reading that a gauge gives. */
export interface GaugeReading {
  readonly point: number;
  readonly si: number;
}

/*
 * When a gauge is read: after a change worth telling, not more often than every few seconds, and at the latest after a
 * quarter of an hour (choices of this project).
 */
const worthTelling = { pressure_Pa: 2e4, flow_m3_s: 2e-3 } as const;
const soonest_s = 5;
const latest_s = 900;

/** The gauges of a riser that its panel reads, and when each was read last. */
export class Gauges {
  readonly #points: readonly ReadingPoint[];
  readonly #last = new Map<number, { readonly at_s: number; readonly si: number }>();

  constructor(points: readonly ReadingPoint[]) {
    this.#points = points;
  }

  /** When a gauge is read next whatever it shows. */
  get next_s(): number {
    return this.#points.reduce((next_s, { point }) => {
      const last = this.#last.get(point);
      return Math.min(next_s, last === undefined ? 0 : last.at_s + latest_s);
    }, Infinity);
  }

  /** What is read at a moment. */
  read(state: PlantState, at_s: number): readonly GaugeReading[] {
    const due = this.#points
      .map((each) => ({ ...each, si: shown(each, state) }))
      .filter(({ point, signal, si }) => {
        const last = this.#last.get(point);
        if (last === undefined || at_s >= last.at_s + latest_s) return true;
        const least = signal === 'flow' ? worthTelling.flow_m3_s : worthTelling.pressure_Pa;
        return at_s >= last.at_s + soonest_s && Math.abs(si - last.si) >= least;
      });
    for (const { point, si } of due) this.#last.set(point, { at_s, si });
    return due.map(({ point, si }) => ({ point, si }));
  }
}

function shown({ signal }: ReadingPoint, { chamber_Pa, outlet_Pa, supply_Pa, through_m3_s }: PlantState): number {
  switch (signal) {
    case 'prime-pressure':
      return chamber_Pa;
    case 'supply-pressure':
      return supply_Pa;
    case 'system-pressure':
      return outlet_Pa;
    case 'flow':
      return through_m3_s;
  }
}
