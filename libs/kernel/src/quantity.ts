import type { Result } from './result.ts';
import { fail, ok } from './result.ts';

/** What a quantity measures. Every quantity is stored in the SI unit named here. */
export type Dimension =
  'pressure' | 'flow' | 'nozzle-constant' | 'length' | 'volume' | 'temperature' | 'force' | 'time';

interface Unit {
  readonly dimension: Dimension;
  readonly scale: number;
  readonly offset?: number;
}

/** Exact by definition: the pound-force, the inch and the US gallon (NIST SP 811, appendix B). */
const psi_Pa = (0.45359237 * 9.80665) / 0.0254 ** 2;
const gallon_m3 = 231 * 0.0254 ** 3;
const gpm_m3_s = gallon_m3 / 60;
const litreMin_m3_s = 1 / 60_000;

const units: Readonly<Record<string, Unit>> = {
  Pa: { dimension: 'pressure', scale: 1 },
  kPa: { dimension: 'pressure', scale: 1e3 },
  bar: { dimension: 'pressure', scale: 1e5 },
  psi: { dimension: 'pressure', scale: psi_Pa },
  'm3/s': { dimension: 'flow', scale: 1 },
  'L/min': { dimension: 'flow', scale: litreMin_m3_s },
  'L/s': { dimension: 'flow', scale: 1e-3 },
  gpm: { dimension: 'flow', scale: gpm_m3_s },
  'gpm/psi^0.5': { dimension: 'nozzle-constant', scale: gpm_m3_s / Math.sqrt(psi_Pa) },
  'L/min/bar^0.5': { dimension: 'nozzle-constant', scale: litreMin_m3_s / Math.sqrt(1e5) },
  m: { dimension: 'length', scale: 1 },
  mm: { dimension: 'length', scale: 1e-3 },
  in: { dimension: 'length', scale: 0.0254 },
  ft: { dimension: 'length', scale: 0.3048 },
  m3: { dimension: 'volume', scale: 1 },
  L: { dimension: 'volume', scale: 1e-3 },
  mL: { dimension: 'volume', scale: 1e-6 },
  gal: { dimension: 'volume', scale: gallon_m3 },
  K: { dimension: 'temperature', scale: 1 },
  '°C': { dimension: 'temperature', scale: 1, offset: 273.15 },
  '°F': { dimension: 'temperature', scale: 5 / 9, offset: 459.67 },
  N: { dimension: 'force', scale: 1 },
  s: { dimension: 'time', scale: 1 },
};

/** A number with its unit resolved: `si` in the SI unit of the dimension (Pa, m3/s, m3/s/Pa^0.5, m, m3, K, N, s). */
export interface Quantity {
  readonly dimension: Dimension;
  readonly si: number;
}

const shape = /^\s*([+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)\s*(\S+)\s*$/;

/** Turns a value in a named unit into SI. */
export function quantity(value: number, unit: string): Result<Quantity, 'unknown-unit'> {
  const known = Object.hasOwn(units, unit) ? units[unit] : undefined;
  if (known === undefined) return fail('unknown-unit');
  const shifted = unit === '°F' ? value + (known.offset ?? 0) : value;
  const si = unit === '°C' ? value + (known.offset ?? 0) : shifted * known.scale;
  return ok({ dimension: known.dimension, si });
}

/** Reads `"90 psi"`, `"6.2 bar"`, `"5.6 gpm/psi^0.5"` into SI. */
export function parseQuantity(text: string): Result<Quantity, 'malformed-quantity' | 'unknown-unit'> {
  const parts = shape.exec(text);
  if (parts?.[1] === undefined || parts[2] === undefined) return fail('malformed-quantity');
  return quantity(Number(parts[1]), parts[2]);
}

/** The value of an SI figure in a named unit; for showing, so an unknown unit is a bug of the caller. */
export function inUnit(
  si: number,
  unit: 'psi' | 'bar' | 'kPa' | 'gpm' | 'L/min' | 'in' | 'ft' | 'L' | 'gal' | 'gpm/psi^0.5',
): number {
  const known = units[unit];
  return known === undefined ? Number.NaN : si / known.scale;
}

/** The units a quantity of the dimension may be written in. */
export const unitsOf = (dimension: Dimension): readonly string[] =>
  Object.entries(units)
    .filter(([, unit]) => unit.dimension === dimension)
    .map(([name]) => name);
