import { inUnit, quantity } from '@tidemark/kernel';
import { useSyncExternalStore } from 'react';

/** Which family of units this person reads. */
export type Units = 'us' | 'metric';

const storageKey = 'tidemark.units';
const told = new Set<() => void>();

const units = (): Units => (localStorage.getItem(storageKey) === 'metric' ? 'metric' : 'us');

/** The other family is one key away. */
export function toggleUnits(): void {
  localStorage.setItem(storageKey, units() === 'us' ? 'metric' : 'us');
  for (const tell of told) tell();
}

/** The chosen family, and again whenever it changes. */
export const useUnits = (): Units =>
  useSyncExternalStore((tell) => {
    told.add(tell);
    return () => told.delete(tell);
  }, units);

/** A reading in the chosen units; one whose unit is not known stays as it was sent. */
export function inChosenUnits(value: number, unit: string, chosen: Units): string {
  const read = quantity(value, unit);
  if (!read.ok) return `${value} ${unit}`;
  const { dimension, si } = read.value;
  if (dimension === 'pressure')
    return chosen === 'us' ? `${inUnit(si, 'psi').toFixed(0)} psi` : `${inUnit(si, 'bar').toFixed(1)} bar`;
  if (dimension === 'flow')
    return chosen === 'us' ? `${inUnit(si, 'gpm').toFixed(0)} gpm` : `${inUnit(si, 'L/min').toFixed(0)} L/min`;
  return `${value} ${unit}`;
}
