import { quantity } from '@tidemark/kernel';
import { boreArea_m2 } from './orifice.ts';
import { gravity_m_s2, waterDensity_kg_m3 } from './water.ts';

/** A straight pipe full of water. */
export interface Pipe {
  readonly bore_m: number;
  readonly length_m: number;
  /** Hazen-Williams C: 100 to 150; 120 for new black steel in a wet or deluge system (NFPA 13, from memory). */
  readonly roughness_C: number;
}

/** Which published form of the Hazen-Williams formula. They agree within 0.3 % from 2 to 6 in. */
export type HazenWilliamsForm = 'fire' | 'epanet';

const unit = (name: string): number => {
  const one = quantity(1, name);
  return one.ok ? one.value.si : Number.NaN;
};

/** `p[psi/ft] = 4.52 Q[gpm]^1.85 / (C^1.85 d[in]^4.87)` (NFPA 13 and 15), turned into Pa, m, m³/s. */
const fireFactor = ((4.52 * unit('psi')) / unit('ft') / unit('gpm') ** 1.85) * unit('in') ** 4.87;

/** `h[ft] = 4.727 L[ft] Q[ft³/s]^1.852 / (C^1.852 d[ft]^4.871)` (EPANET 2.2 manual, table 3.1), turned into m, m³/s. */
const epanetFactor = (4.727 * unit('ft') ** 4.871) / unit('ft') ** (3 * 1.852);

/** The exponent of the flow in each form. */
export const hazenWilliamsExponent: Readonly<Record<HazenWilliamsForm, number>> = { fire: 1.85, epanet: 1.852 };

/** The resistance r of a pipe in `Δp = r Q^n`, Pa/(m³/s)^n, n as {@link hazenWilliamsExponent} says. */
export const frictionResistance = ({ bore_m, length_m, roughness_C }: Pipe, form: HazenWilliamsForm): number =>
  form === 'fire'
    ? (fireFactor * length_m) / (roughness_C ** 1.85 * bore_m ** 4.87)
    : (waterDensity_kg_m3 * gravity_m_s2 * epanetFactor * length_m) / (roughness_C ** 1.852 * bore_m ** 4.871);

/** Friction loss of a full pipe, Pa, by the form the fire codes print (4.52, 1.85, 4.87). */
export const fireFriction_Pa = (pipe: Pipe, flow_m3_s: number): number =>
  frictionResistance(pipe, 'fire') * flow_m3_s ** 1.85;

/** Friction loss of a full pipe, Pa, by the form EPANET computes with (4.727, 1.852, 4.871). */
export const epanetFriction_Pa = (pipe: Pipe, flow_m3_s: number): number =>
  frictionResistance(pipe, 'epanet') * flow_m3_s ** 1.852;

/** Mean velocity in a bore, m/s. */
export const velocity_m_s = (bore_m: number, flow_m3_s: number): number => flow_m3_s / boreArea_m2(bore_m);

/** Loss of a fitting, Pa: `K ρ v²/2` (textbook). */
export const minorLoss_Pa = (lossCoefficient: number, velocity: number): number =>
  (lossCoefficient * waterDensity_kg_m3 * velocity * velocity) / 2;
