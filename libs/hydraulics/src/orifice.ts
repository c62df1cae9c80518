import { waterDensity_kg_m3 } from './water.ts';

/** The area of a round bore, m². */
export const boreArea_m2 = (bore_m: number): number => (Math.PI / 4) * bore_m * bore_m;

/** A round hole and the share of its ideal discharge that really passes. */
export interface Orifice {
  readonly bore_m: number;
  /** Cd: 0.60 sharp-edged to 0.80 thick; 0.90 smooth hydrant outlet (textbook values). */
  readonly dischargeCoefficient: number;
}

/** The flow constant of a hole, m³/s/√Pa, so that `Q = K √Δp`: K = Cd A √(2/ρ). In US units 29.84 Cd d² (NFPA 291). */
export const orificeConstant_m3_s_sqrtPa = ({ bore_m, dischargeCoefficient }: Orifice): number =>
  dischargeCoefficient * boreArea_m2(bore_m) * Math.sqrt(2 / waterDensity_kg_m3);

/** Discharge of a hole under a pressure drop, m³/s; none against a drop that is not positive. */
export const orificeFlow_m3_s = (orifice: Orifice, drop_Pa: number): number =>
  constantFlow_m3_s(orificeConstant_m3_s_sqrtPa(orifice), drop_Pa);

/** Flow through anything with a flow constant, m³/s: a nozzle's K, a valve's Cv, an orifice. `Q = K √Δp` (NFPA 13). */
export const constantFlow_m3_s = (constant_m3_s_sqrtPa: number, drop_Pa: number): number =>
  drop_Pa > 0 ? constant_m3_s_sqrtPa * Math.sqrt(drop_Pa) : 0;

/** The pressure a nozzle of constant K needs to give a flow, Pa: `p = (Q/K)²`. */
export const constantPressure_Pa = (constant_m3_s_sqrtPa: number, flow_m3_s: number): number =>
  (flow_m3_s / constant_m3_s_sqrtPa) ** 2;

/** The flow constant of a fitting from its minor-loss coefficient, m³/s/√Pa: `A √(2/(ρ K))`. */
export const minorLossConstant_m3_s_sqrtPa = (bore_m: number, lossCoefficient: number): number =>
  boreArea_m2(bore_m) * Math.sqrt(2 / (waterDensity_kg_m3 * lossCoefficient));
