import type { SupplyCurve } from './supply-curve.ts';
import type { Orifice } from './orifice.ts';
import type { Clapper } from './prime-chamber.ts';

/** On which side of the supply valve something is connected. */
export type SupplySide = 'upstream' | 'downstream';

/** A contact that acts at one pressure and returns at another. */
export interface PressureSwitch {
  readonly acts_Pa: number;
  readonly returns_Pa: number;
  /** How long the pressure must stay beyond `acts_Pa` before the contact is reported. */
  readonly retard_s: number;
}

/** A run of overhead pipe from the riser's top along the main to the branches, tree-shaped and symmetrical. */
export interface OverheadPiping {
  readonly roughness_C: number;
  readonly riser: { readonly bore_m: number; readonly height_m: number; readonly lossCoefficient: number };
  readonly main: { readonly bore_m: number; readonly spacing_m: number };
  readonly branch: {
    readonly nozzles: number;
    /** Bores from the end nozzle inwards; the last one serves all that are nearer to the main. */
    readonly boresFromEnd_m: readonly [number, ...number[]];
    readonly first_m: number;
    readonly spacing_m: number;
  };
  /** Loss of the filling pipes at the moment they are full, Δp = r Q², Pa s²/m⁶; it grows with the share filled. */
  readonly fillResistance_Pa_s2_m6: number;
}

/**
 * What is installed, in SI: pressures gauge Pa, lengths m, volumes m³, times s, flow constants (`Q = K √Δp`) m³/s/√Pa.
 * `defaultFigures` is one complete riser and says where each figure is from.
 */
export interface RiserFigures {
  readonly supply: SupplyCurve;
  readonly supplyValve: {
    readonly bore_m: number;
    /** Loss coefficient of the fully open valve. */
    readonly openLoss: number;
    /** A full turn by hand-wheel. */
    readonly stroke_s: number;
    /** Opening below which its switch reports, and from which it restores. */
    readonly switchActs: number;
    readonly switchReturns: number;
  };
  readonly delugeValve: Clapper & {
    /** Spring force added over the full stroke. */
    readonly springRise_N: number;
    /** Loss coefficient of the fully open valve, referred to the supply valve's bore. */
    readonly openLoss: number;
  };
  readonly chamber: {
    readonly volume_m3: number;
    /** Air left after a purge, measured at one atmosphere. */
    readonly trappedAir_m3: number;
  };
  readonly prime: Orifice & { readonly checkCrack_Pa: number; readonly source: SupplySide };
  readonly release: {
    readonly solenoid_m3_s_sqrtPa: number;
    readonly solenoidStroke_s: number;
    readonly manual_m3_s_sqrtPa: number;
    readonly relief_m3_s_sqrtPa: number;
    /** Outlet pressure that opens the relief which keeps the chamber vented, and below which it shuts. */
    readonly reliefOpens_Pa: number;
    readonly reliefShuts_Pa: number;
  };
  readonly piping: OverheadPiping;
  readonly nozzles: { readonly count: number; readonly k_m3_s_sqrtPa: number };
  readonly drains: {
    /** Low-point drain on the outlet side. */
    readonly system_m3_s_sqrtPa: number;
    /** Flow-test connection below the deluge valve. */
    readonly supply_m3_s_sqrtPa: number;
    readonly supplySide: SupplySide;
    readonly auxiliary_m3_s_sqrtPa: number;
    /** Automatic drip of the outlet chamber, and the pressure that shuts it. */
    readonly drip_m3_s_sqrtPa: number;
    readonly dripShuts_Pa: number;
  };
  readonly alarmLine: {
    readonly volume_m3: number;
    readonly hole: Orifice;
    /** Where the hole lets the line's water go: back into the outlet (drilled in the drain check) or to a drain cup. */
    readonly bleedsTo: 'outlet' | 'atmosphere';
    readonly testValve_m3_s_sqrtPa: number;
    readonly testSource: SupplySide;
    readonly forwardCheck_m3_s_sqrtPa: number;
    readonly checkCrack_Pa: number;
    /** Where the isolating valve sits: ahead of the switch only, or between the outlet and the whole line. */
    readonly isolates: 'switch' | 'line';
  };
  /** A full turn of any of the small hand valves. */
  readonly handValveStroke_s: number;
  readonly switches: {
    readonly waterflow: PressureSwitch;
    readonly primeLow: PressureSwitch;
    readonly supplyLow: PressureSwitch;
  };
}

/** What differs from the default riser: any figure of any group, the rest as {@link defaultFigures} has it. */
export type FigureChanges = {
  readonly [Group in keyof RiserFigures]?: RiserFigures[Group] extends number
    ? number
    : { readonly [Figure in keyof RiserFigures[Group]]?: RiserFigures[Group][Figure] };
};
