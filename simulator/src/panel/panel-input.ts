import type { PanelDefect } from './panel-defects.ts';

/** What the field, people and power do to a panel. */
export type PanelInput =
  /** A device or switch wired to a point of the panel is made or is back. */
  | { readonly type: 'contact'; readonly point: number; readonly active: boolean }
  /** A gauge wired to a reading's point, in SI (Pa, m3/s). */
  | { readonly type: 'reading'; readonly point: number; readonly si: number }
  /** The wiring of a point, or of the release circuit. Without a fault it is whole again. */
  | { readonly type: 'circuit'; readonly circuit: Circuit; readonly fault: CircuitFault | undefined }
  /** Faults that the panel finds in itself and in its path to the station. */
  | { readonly type: 'trouble'; readonly trouble: OwnTrouble; readonly on: boolean }
  | { readonly type: 'power'; readonly source: 'ac' | 'battery'; readonly good: boolean }
  | { readonly type: 'button'; readonly button: 'silence' | 'reset' }
  /** The keyed switch that opens the release circuit, and the panel's test mode. */
  | { readonly type: 'switch'; readonly switch: 'release-disconnect' | 'test-mode'; readonly on: boolean }
  | { readonly type: 'defect'; readonly defect: PanelDefect; readonly on: boolean };

/** A supervised circuit: that of the devices at a point, or the one to the solenoid. */
export type Circuit = number | 'release';

/**
 * An open circuit gives trouble and hides its devices. A short is a closed contact: at a point it is taken for the
 * device (common practice on two-wire circuits), at the release circuit it gives trouble.
 */
export type CircuitFault = 'open' | 'short';

/** Troubles that have no circuit of their own. */
export type OwnTrouble = 'earth-fault' | 'panel-fault' | 'communication';
