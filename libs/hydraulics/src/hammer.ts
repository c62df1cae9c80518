import { waterDensity_kg_m3 } from './water.ts';

/** Bulk modulus of water, Pa, at 20 °C (textbook, from memory). */
const waterBulkModulus_Pa = 2.07e9;

/** A pipe wall. */
export interface PipeWall {
  readonly bore_m: number;
  readonly wall_m: number;
  /** 200 GPa for steel. */
  readonly youngsModulus_Pa: number;
}

/** Speed of a pressure wave in water in an elastic pipe, m/s: `√((Kw/ρ)/(1 + Kw D/(E e)))` (Korteweg). */
export const waveSpeed_m_s = ({ bore_m, wall_m, youngsModulus_Pa }: PipeWall): number =>
  Math.sqrt(
    waterBulkModulus_Pa / waterDensity_kg_m3 / (1 + (waterBulkModulus_Pa * bore_m) / (youngsModulus_Pa * wall_m)),
  );

/** Pressure jump of a velocity change that is faster than the wave's return, Pa: `ρ a Δv` (Joukowsky). */
export const hammer_Pa = (wave_m_s: number, change_m_s: number, density_kg_m3 = waterDensity_kg_m3): number =>
  density_kg_m3 * wave_m_s * change_m_s;
