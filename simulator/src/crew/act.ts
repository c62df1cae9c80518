import type { SignalName } from '@tidemark/signals';
import type { ValveName } from '../plant/names.ts';

/** A command that somebody on site gives the station, over its own door and not the panel's link (CONTRACT 7). */
export type StationCommand =
  | { readonly command: 'test-begin'; readonly forSeconds: number; readonly expect?: readonly SignalName[] }
  | { readonly command: 'test-end' }
  | { readonly command: 'impairment-begin'; readonly kind: 'planned' | 'emergency'; readonly reason?: string }
  | { readonly command: 'impairment-end' }
  | { readonly command: 'confirm'; readonly step: string };

/** What people do to the riser, its devices, its panel, and the station. */
export type Deed =
  /** A valve is turned, for so long, to 0 shut to 1 open. */
  | { readonly act: 'valve'; readonly valve: ValveName; readonly to: number; readonly over_s: number }
  /** An initiating device is operated or set back. */
  | { readonly act: 'device'; readonly point: number; readonly state: 'active' | 'restored' }
  | { readonly act: 'button'; readonly button: 'silence' | 'reset' }
  | { readonly act: 'switch'; readonly switch: 'release-disconnect' | 'test-mode'; readonly on: boolean }
  | { readonly act: 'station'; readonly command: StationCommand };

/** A deed and its moment of true time, s from the story's beginning; a valve is turned from then on. */
export type CrewAct = Deed & { readonly at_s: number };
