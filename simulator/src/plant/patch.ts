import type { ContactName, ValveName } from './names.ts';

/** What may be wrong with a valve. */
export interface ValvePatch {
  /** Position it stays at whatever it is told, 0 shut to 1 open. */
  readonly stuckAt?: number;
  /** What it passes when shut, m³/s/√Pa. */
  readonly passing_m3_s_sqrtPa?: number;
  /** Share of its passage that is blocked. */
  readonly plugged?: number;
  /** A full turn, when it is slower or faster than it should be. */
  readonly stroke_s?: number;
}

/** What may be wrong with a contact. Set points are gauge pressures, or openings for a valve's contact. */
export interface ContactPatch {
  readonly stuck?: 'active' | 'restored';
  readonly acts?: number;
  readonly returns?: number;
  readonly retard_s?: number;
  /** Each change is followed by so many pairs of false changes, 10 to 200 ms apart, drawn from the seed. */
  readonly chatter?: { readonly pairs: number; readonly seed: number };
}

/**
 * A change of the plant's parameters: what is worn, stuck, leaking, plugged, isolated, mis-set or disturbed. Only what
 * is given changes. Flow constants in m³/s/√Pa; shares from 0 to 1; factors multiply.
 */
export interface PlantPatch {
  readonly supply?: { readonly static_Pa?: number; readonly residual_Pa?: number; readonly shift_Pa?: number };
  readonly valves?: Readonly<Partial<Record<ValveName, ValvePatch>>>;
  readonly contacts?: Readonly<Partial<Record<ContactName, ContactPatch>>>;
  readonly prime?: {
    /** Share of strainer and orifice that is blocked. */
    readonly plugged?: number;
    readonly bore_m?: number;
    readonly checkStuckShut?: boolean;
    readonly checkLeak_m3_s_sqrtPa?: number;
  };
  readonly chamber?: { readonly leak_m3_s_sqrtPa?: number; readonly trappedAir_m3?: number };
  readonly relief?: { readonly stuck?: 'open' | 'shut'; readonly leak_m3_s_sqrtPa?: number; readonly plugged?: number };
  readonly clapper?: {
    /** `shut`: does not lift from its seat; `open`: once fully open it does not come back. */
    readonly stuck?: 'shut' | 'open';
    readonly seatLeak_m3_s_sqrtPa?: number;
  };
  readonly drip?: { readonly plugged?: number };
  readonly nozzles?: {
    /** Share of each nozzle's passage that is blocked. */
    readonly obstructed?: number;
    /** Factor on the loss of the nozzles: 0.4 for a broken pipe. */
    readonly lossFactor?: number;
  };
  readonly alarmLine?: {
    readonly holePlugged?: number;
    /** Factor on the hole's flow constant. */
    readonly holeFactor?: number;
    readonly checkPlugged?: number;
    readonly checkLeak_m3_s_sqrtPa?: number;
    /** Which side of the line its isolating valve is on, where it was built otherwise than drawn. */
    readonly isolates?: 'switch' | 'line';
  };
}

/** A patch with the time it holds, from one second (of the plant's clock) to another, or for good. */
export interface PlantFault {
  readonly id: string;
  readonly patch: PlantPatch;
  readonly from_s: number;
  readonly until_s?: number;
}
