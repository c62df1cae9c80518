import type { PlantView } from '../plant/observe.ts';

/** What there was to be seen of the plant at a moment. */
export type Moment = Pick<PlantView, 'at_s' | 'pressures_Pa' | 'flows_m3_s' | 'positions' | 'clapper' | 'reliefOpen'>;

/** Looks at a plant whenever it has come a step further. */
export class Trace {
  readonly moments: Moment[] = [];

  look({ at_s, clapper, flows_m3_s, positions, pressures_Pa, reliefOpen }: PlantView): void {
    if (at_s === this.moments.at(-1)?.at_s) return;
    this.moments.push({ at_s, clapper, flows_m3_s, positions, pressures_Pa, reliefOpen });
  }
}
