import type { RiserFigures } from '@tidemark/hydraulics';
import type { FaultRecipes } from './fault-recipe.ts';
import { alarmLineFaults, pipingFaults } from './fault-table-outlet.ts';
import { primingFaults, releaseFaults } from './fault-table-chamber.ts';
import { supplyFaults } from './fault-table-supply.ts';

/**
 * The faults of the plant by the id that causes, injector and scenarios share, each with its rows of the catalogue. Sizes
 * of leaks follow from the riser's own figures (just above or below what a switch or the valve notices). What is not of
 * the plant (panel, wiring, link, the order of people's acts) has no entry.
 */
export const faultRecipes = (figures: RiserFigures): FaultRecipes => ({
  ...supplyFaults(figures),
  ...primingFaults(figures),
  ...releaseFaults(figures),
  ...pipingFaults(),
  ...alarmLineFaults(figures),
});
