import { defaultFigures } from '@tidemark/hydraulics';
import type { RiserFigures } from '@tidemark/hydraulics';
import { advance, command, createPlant } from '../../src/index.ts';
import type { FaultRecipe, Plant, PlantCommand, PlantEvent, ValveName } from '../../src/index.ts';

/** A command and its moment. */
export type Act = readonly [at_s: number, given: PlantCommand];

/** Turning a valve. */
export const move = (valve: ValveName, to: number, over_s?: number): PlantCommand => ({
  type: 'move',
  valve,
  to,
  ...(over_s === undefined ? {} : { over_s }),
});

/** When the chapters of the story begin. */
export const chapters = {
  discharge: 100,
  shutDown: 235,
  drains: 250,
  reset: 430,
  drainsShut: 500,
  reopening: 520,
  test: 700,
  testShut: 720,
  end: 900,
} as const;

/** Release, shut-down, drain, reset, reopening, alarm test: the acts of people and panel, in the right order. */
export const story: readonly Act[] = [
  [chapters.discharge, move('solenoid', 1)],
  [chapters.shutDown, move('supply', 0)],
  [chapters.drains, move('system-drain', 1)],
  [chapters.drains + 2, move('auxiliary-drain', 1)],
  [chapters.drains + 5, move('supply-drain', 1)],
  [chapters.reset, move('solenoid', 0)],
  [chapters.drainsShut, move('system-drain', 0)],
  [chapters.drainsShut, move('auxiliary-drain', 0)],
  [chapters.drainsShut, move('supply-drain', 0)],
  [chapters.reopening, move('supply', 1)],
  [chapters.test, move('alarm-test', 1)],
  [chapters.testShut, move('alarm-test', 0)],
];

/** A plant after some acts, and everything that happened. */
export interface Told {
  readonly plant: Plant;
  readonly events: readonly PlantEvent[];
}

/** Plays acts on a plant up to a moment. */
export function play(start: Plant, acts: readonly Act[], until_s: number): Told {
  const events: PlantEvent[] = [];
  let plant = start;
  for (const [at_s, given] of acts) {
    const next = command(plant, at_s, given);
    events.push(...next.events);
    plant = next.plant;
  }
  const last = advance(plant, until_s);
  return { plant: last.plant, events: [...events, ...last.events] };
}

/** The story of the default riser, or of one with a fault from the start; acts added to it in their place. */
export function tell(fault?: FaultRecipe, more: readonly Act[] = [], figures: RiserFigures = defaultFigures): Told {
  const faulty: readonly Act[] =
    fault === undefined
      ? []
      : [
          [0, { type: 'fault', fault: { id: fault.row, patch: fault.patch, from_s: 0 } }],
          ...fault.moves.map(({ to, valve }): Act => [0, move(valve, to, 0)]),
        ];
  const acts = [...faulty, ...story, ...more].toSorted(([one], [other]) => one - other);
  return play(createPlant(figures), acts, chapters.end);
}

/** The moments at which a contact turned, within a chapter. */
export function turns(
  { events }: Told,
  name: string,
  { from = 0, until = Infinity }: { readonly from?: number; readonly until?: number } = {},
): readonly number[] {
  const [contact, state] = [name.slice(0, -1), name.endsWith('+') ? 'active' : 'restored'];
  return events
    .filter((event) => event.type === 'contact' && event.contact === contact && event.state === state)
    .map(({ at_s }) => at_s)
    .filter((at_s) => at_s >= from && at_s <= until);
}

/** The moment of the first milestone of a name. */
export const reached = ({ events }: Told, milestone: string): number | undefined =>
  events.find((event) => event.type === 'milestone' && event.milestone === milestone)?.at_s;
