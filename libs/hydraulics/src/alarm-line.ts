import { atmosphere_Pa } from './water.ts';

/** The alarm line: a dead end with a little air, filled from the outlet or the test valve, emptied through its hole. */
export interface AlarmLine {
  readonly volume_m3: number;
  /** Flow constant of the bleed hole, m³/s/√Pa. */
  readonly hole_m3_s_sqrtPa: number;
}

/** A pressure fall, gauge. */
export interface PressureFall {
  readonly from_Pa: number;
  readonly to_Pa: number;
}

/**
 * Time for the line to bleed down, s, its air isothermal (closed form, own derivation: MODEL of the project, checked
 * against an integration of the same law):
 * `t = (V/K)[F(√p0) − F(√pr)]`, `F(u) = u/(u² + pa) + atan(u/√pa)/√pa`. An infinite time if the hole is plugged.
 */
export function bleedDown_s({ volume_m3, hole_m3_s_sqrtPa }: AlarmLine, { from_Pa, to_Pa }: PressureFall): number {
  const rootAtmosphere = Math.sqrt(atmosphere_Pa);
  const integral = (gauge_Pa: number): number => {
    const u = Math.sqrt(gauge_Pa);
    return u / (gauge_Pa + atmosphere_Pa) + Math.atan(u / rootAtmosphere) / rootAtmosphere;
  };
  return from_Pa <= to_Pa ? 0 : (volume_m3 / hole_m3_s_sqrtPa) * (integral(from_Pa) - integral(to_Pa));
}

/** How the air of the line came to its state before it bleeds. */
export interface AirHistory {
  /** 1 isothermal to 1.4 adiabatic. */
  readonly polytropicExponent: number;
  /** `filled-along`: filled on the same polytrope just before; `held`: long enough at pressure to be at ambient again. */
  readonly before: 'filled-along' | 'held';
}

/** Panels of the quadrature; the integrand is smooth, and 256 leave an error below 1e-9 of the result. */
const panels = 256;

/**
 * Time for the line to bleed down with polytropic air, s, by Simpson's rule over `u = √p`. At exponent 1 it equals
 * {@link bleedDown_s}; at 1.4 it is 13.5 % (filled along) to 52 % (held) shorter, 100 to 3 psi.
 */
export function polytropicBleedDown_s(line: AlarmLine, fall: PressureFall, air: AirHistory): number {
  const n = air.polytropicExponent;
  const start_Pa = air.before === 'filled-along' ? atmosphere_Pa : fall.from_Pa + atmosphere_Pa;
  const startVolume_m3 = (line.volume_m3 * atmosphere_Pa) / start_Pa;
  const scale = (2 * startVolume_m3 * start_Pa ** (1 / n)) / (n * line.hole_m3_s_sqrtPa);
  const integrand = (u: number): number => (u * u + atmosphere_Pa) ** -(1 + 1 / n);
  const low = Math.sqrt(fall.to_Pa);
  const step = (Math.sqrt(fall.from_Pa) - low) / panels;
  let sum = integrand(low) + integrand(low + panels * step);
  for (let panel = 1; panel < panels; panel += 1) sum += (panel % 2 === 1 ? 4 : 2) * integrand(low + panel * step);
  return fall.from_Pa <= fall.to_Pa ? 0 : (scale * sum * step) / 3;
}

/** The pressure a line settles at, gauge Pa, fed by a leak of constant `leak` against its hole: `p/(1 + (Kh/Kl)²)`. */
export const heldPressure_Pa = (line: AlarmLine, leak_m3_s_sqrtPa: number, source_Pa: number): number =>
  source_Pa / (1 + (line.hole_m3_s_sqrtPa / leak_m3_s_sqrtPa) ** 2);

/** Water the line must take before its air stands at a gauge pressure, m³ (isothermal, from empty). */
export const lineIntake_m3 = (volume_m3: number, gauge_Pa: number): number =>
  (volume_m3 * gauge_Pa) / (gauge_Pa + atmosphere_Pa);
