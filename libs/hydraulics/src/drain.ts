import { boreArea_m2 } from './orifice.ts';
import { gravity_m_s2, waterDensity_kg_m3 } from './water.ts';

/** A standing column of water and the outlet at its foot. */
export interface DrainedColumn {
  readonly bore_m: number;
  /** Flow constant of everything open at the foot, m³/s/√Pa. */
  readonly outlet_m3_s_sqrtPa: number;
}

/**
 * Time for a column to fall from one height to a lower one, s, by Torricelli:
 * `t = (2A/CdA)(√h1 − √h2)/√(2g)`, with `CdA = K √(ρ/2)`.
 */
export function drainTime_s({ bore_m, outlet_m3_s_sqrtPa }: DrainedColumn, from_m: number, to_m: number): number {
  const effectiveArea_m2 = outlet_m3_s_sqrtPa * Math.sqrt(waterDensity_kg_m3 / 2);
  const roots = Math.sqrt(Math.max(0, from_m)) - Math.sqrt(Math.max(0, to_m));
  return (((2 * boreArea_m2(bore_m)) / effectiveArea_m2) * roots) / Math.sqrt(2 * gravity_m_s2);
}
