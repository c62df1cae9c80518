export type { Milestone, PlantEvent } from './plant/event.ts';
export { contactNames, valveNames } from './plant/names.ts';
export type { ContactName, ValveName } from './plant/names.ts';
export { observe } from './plant/observe.ts';
export type { PlantView } from './plant/observe.ts';
export type { ContactPatch, PlantFault, PlantPatch, ValvePatch } from './plant/patch.ts';
export { advance, command, createPlant, nextEvent, plantHash } from './plant/plant.ts';
export type { Advanced, Plant, PlantCommand } from './plant/plant.ts';
