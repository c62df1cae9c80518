import { boreArea_m2 } from './orifice.ts';
import { atmosphere_Pa } from './water.ts';

/** The clapper as a hydraulic piston: the chamber pushes on r times the seat's area. */
export interface Clapper {
  readonly seat_m: number;
  /** Control area over seat area. */
  readonly areaRatio: number;
  readonly stroke_m: number;
  /** Spring and weight that press it shut. */
  readonly closingForce_N: number;
}

/** Area the chamber pressure acts on, m². */
export const controlArea_m2 = ({ seat_m, areaRatio }: Clapper): number => areaRatio * boreArea_m2(seat_m);

/** Water the clapper displaces over its stroke, m³. */
export const sweptVolume_m3 = (clapper: Clapper): number => controlArea_m2(clapper) * clapper.stroke_m;

/** Chamber pressure at which the seated clapper lifts, gauge Pa: `p_inlet/r − F0/Ac` (force balance, dry outlet). */
export const tripPressure_Pa = (clapper: Clapper, inlet_Pa: number): number =>
  inlet_Pa / clapper.areaRatio - clapper.closingForce_N / controlArea_m2(clapper);

/** Where the priming line is fed from and what it passes. */
export interface PrimingLine {
  /** Pressure ahead of the check valve. */
  readonly source_Pa: number;
  /** What it takes to open the check valve. */
  readonly crack_Pa: number;
  /** Flow constant of orifice and strainer, m³/s/√Pa. */
  readonly orifice_m3_s_sqrtPa: number;
}

/** Steady chamber pressure under a leak of flow constant `leak`, gauge Pa: `(ps − crack)/(1 + (K_leak/K_orifice)²)`. */
export const leakingChamber_Pa = (line: PrimingLine, leak_m3_s_sqrtPa: number): number =>
  (line.source_Pa - line.crack_Pa) / (1 + (leak_m3_s_sqrtPa / line.orifice_m3_s_sqrtPa) ** 2);

/** A pressure rise of the chamber, and the air in it measured at one atmosphere. */
export interface Refill {
  readonly from_Pa: number;
  readonly to_Pa: number;
  readonly air_m3: number;
}

/**
 * Time to bring the chamber back to pressure through the orifice by compressing its air isothermally, s (closed form,
 * own derivation): with `b² = P + pa`, `s = √(P − p)`, `P = ps − crack`, `N = pa V`,
 * `t = (2N/K)[G(s0) − G(s1)]`, `G(s) = s/(2b²(b² − s²)) + ln((b + s)/(b − s))/(4b³)`.
 * Infinite when the source cannot reach `to_Pa`, or the orifice is plugged.
 */
export function refill_s(line: PrimingLine, { from_Pa, to_Pa, air_m3 }: Refill): number {
  const drive_Pa = line.source_Pa - line.crack_Pa;
  if (to_Pa >= drive_Pa) return Number.POSITIVE_INFINITY;
  if (to_Pa <= from_Pa) return 0;
  const squared = drive_Pa + atmosphere_Pa;
  const b = Math.sqrt(squared);
  const integral = (gauge_Pa: number): number => {
    const s = Math.sqrt(drive_Pa - gauge_Pa);
    return s / (2 * squared * (squared - s * s)) + Math.log((b + s) / (b - s)) / (4 * squared * b);
  };
  return ((2 * atmosphere_Pa * air_m3) / line.orifice_m3_s_sqrtPa) * (integral(from_Pa) - integral(to_Pa));
}

/** Time for priming water alone to push the clapper over its stroke against no pressure, s. */
export const pushShut_s = (clapper: Clapper, line: PrimingLine): number =>
  sweptVolume_m3(clapper) / (line.orifice_m3_s_sqrtPa * Math.sqrt(line.source_Pa - line.crack_Pa));

/** Time to pass a volume through a valve that opens linearly and then stays open, s. */
export function passThroughOpening_s(volume_m3: number, openFlow_m3_s: number, opening_s: number): number {
  const whileOpening_m3 = (openFlow_m3_s * opening_s) / 2;
  return volume_m3 <= whileOpening_m3
    ? Math.sqrt((2 * opening_s * volume_m3) / openFlow_m3_s)
    : opening_s + (volume_m3 - whileOpening_m3) / openFlow_m3_s;
}

/** Water that must leave the chamber before its air has expanded from one gauge pressure to a lower one, m³. */
export const decompression_m3 = (air_m3: number, from_Pa: number, to_Pa: number): number =>
  Math.max(0, air_m3 * atmosphere_Pa * (1 / (to_Pa + atmosphere_Pa) - 1 / (from_Pa + atmosphere_Pa)));
