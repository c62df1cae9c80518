/** A water supply as a flow test describes it: pressure with no flow, and the pressure left at one flow. */
export interface SupplyCurve {
  readonly static_Pa: number;
  readonly residual_Pa: number;
  readonly residualFlow_m3_s: number;
}

/** Pressure a supply keeps at a flow, Pa: `Ps − (Ps − Pr)(Q/Qr)^1.85` (NFPA 291). Negative beyond what it can give. */
export const supplyPressure_Pa = (curve: SupplyCurve, flow_m3_s: number): number =>
  curve.static_Pa - (curve.static_Pa - curve.residual_Pa) * (flow_m3_s / curve.residualFlow_m3_s) ** 1.85;

/**
 * Flow a supply gives at a pressure, m³/s; none at or above its static pressure. The exact inverse of
 * {@link supplyPressure_Pa}: the exponent is 1/1.85, of which the 0.54 in print is the rounding.
 */
export const supplyFlow_m3_s = (curve: SupplyCurve, gauge_Pa: number): number =>
  gauge_Pa >= curve.static_Pa
    ? 0
    : curve.residualFlow_m3_s * ((curve.static_Pa - gauge_Pa) / (curve.static_Pa - curve.residual_Pa)) ** (1 / 1.85);
