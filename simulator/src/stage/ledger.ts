import type { StepRecord } from '../crew/step.ts';
import { told_s } from '../plant/event.ts';
import { valveNames } from '../plant/names.ts';
import type { ValveName } from '../plant/names.ts';
import type { PlantView } from '../plant/observe.ts';
import type { PlantState } from '../plant/state.ts';
import { flowing_m3_s } from './truth.ts';
import type { InjectedCause, Opening, Stretch, Truth } from './truth.ts';

type Written<List> = List extends readonly (infer Entry)[] ? Entry[] : never;

/** Writes down what truly happens while a story is played. */
export class Ledger {
  readonly acts: Written<Truth['acts']> = [];
  readonly contacts: Written<Truth['contacts']> = [];
  readonly milestones: Written<Truth['milestones']> = [];
  readonly said: Written<Truth['said']> = [];
  readonly refusedResets_s: number[] = [];
  readonly crews: StepRecord[][];
  readonly #causes: InjectedCause[] = [];
  readonly #water = new Stretches();
  readonly #spray = new Stretches();
  readonly #release = new Stretches();
  readonly #openings = new Map<ValveName, Opening[]>(valveNames.map((valve) => [valve, []]));

  constructor(crews: number) {
    this.crews = Array.from({ length: crews }, () => []);
  }

  /** Notes a fault; the answer ends it. */
  begin(cause: InjectedCause): (at_s: number) => void {
    const place = this.#causes.push(cause) - 1;
    return (to_s) => {
      this.#causes[place] = { ...cause, to_s };
    };
  }

  /** Looks at the flows of a moment. */
  flows({ at_s, nozzles_m3_s, through_m3_s }: PlantState): void {
    this.#water.is(through_m3_s > flowing_m3_s, at_s);
    this.#spray.is(nozzles_m3_s > flowing_m3_s, at_s);
  }

  energized(at_s: number, energized: boolean): void {
    this.#release.is(energized, at_s);
  }

  /** Looks at where the valves are; of a position that holds only its first and last moment are kept. */
  positions({ at_s, positions }: PlantView): void {
    for (const [valve, openings] of this.#openings) {
      const position = positions[valve];
      const [before, last] = openings.slice(-2);
      if (before?.position === position && last?.position === position) openings.pop();
      openings.push({ at_s, position });
    }
  }

  get truth(): Truth {
    const { acts, contacts, crews, milestones, refusedResets_s, said } = this;
    return {
      causes: this.#causes,
      acts,
      crews,
      water: this.#water.all,
      spray: this.#spray.all,
      release: this.#release.all,
      contacts,
      milestones,
      openings: Object.fromEntries(this.#openings) as Record<ValveName, Opening[]>,
      said,
      refusedResets_s,
    };
  }
}

/** Stretches in which something holds. */
class Stretches {
  readonly all: Stretch[] = [];
  #holds = false;

  is(holds: boolean, at_s: number): void {
    if (holds === this.#holds) return;
    this.#holds = holds;
    const moment_s = told_s(at_s);
    const open = holds ? undefined : this.all.pop();
    this.all.push(open === undefined ? { from_s: moment_s } : { ...open, to_s: moment_s });
  }
}
