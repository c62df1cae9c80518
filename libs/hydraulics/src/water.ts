/** Density of fresh water at 20 °C, kg/m³ (handbook value, from memory). The US constant 29.84 implies 998.95. */
export const waterDensity_kg_m3 = 998.2;

/** Standard gravity, m/s² (exact, third CGPM 1901). */
export const gravity_m_s2 = 9.80665;

/** Standard atmosphere, Pa (exact, tenth CGPM 1954). All pressures of this package are gauge unless named absolute. */
export const atmosphere_Pa = 101_325;

/** The pressure of a column of water, Pa: ρ g h. A foot of it is 0.433 psi. */
export const columnPressure_Pa = (height_m: number): number => waterDensity_kg_m3 * gravity_m_s2 * height_m;

/** The height of a column of water that stands at a gauge pressure, m. */
export const columnHeight_m = (gauge_Pa: number): number => gauge_Pa / (waterDensity_kg_m3 * gravity_m_s2);
