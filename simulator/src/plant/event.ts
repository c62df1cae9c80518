import type { ContactName, ValveName } from './names.ts';

/** What happens inside the riser, besides its contacts. Nobody outside sees it; tests and pictures do. */
export type Milestone =
  | 'clapper-lifted'
  | 'clapper-open'
  | 'clapper-seated'
  | 'relief-opened'
  | 'relief-shut'
  | 'piping-full'
  | 'piping-no-longer-full';

/** Something that changed at a moment of the plant's clock, to the millisecond (rounded up). */
export type PlantEvent =
  | {
      readonly type: 'contact';
      readonly at_s: number;
      readonly contact: ContactName;
      readonly state: 'active' | 'restored';
    }
  | { readonly type: 'milestone'; readonly at_s: number; readonly milestone: Milestone }
  | { readonly type: 'valve-at-rest'; readonly at_s: number; readonly valve: ValveName; readonly position: number };

/** An event with the exact moment it was found at, before rounding. */
export interface FoundEvent {
  readonly exact_s: number;
  readonly event: PlantEvent;
}

/** Up to the next millisecond: an event is never told before it happened. */
export const told_s = (exact_s: number): number => Math.ceil(exact_s * 1000 - 1e-6) / 1000;
