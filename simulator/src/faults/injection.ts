import type { CauseId } from '@tidemark/words';
import type { Mistake } from '../crew/step.ts';
import type { LinkTroubleKind } from '../link/trouble.ts';
import type { ValveName } from '../plant/names.ts';
import type { PlantPatch } from '../plant/patch.ts';

/** What the size of a fault means, from where to where it is worth injecting, and what is plausible. */
export interface Size {
  readonly what: string;
  /** As the project writes units; `share` from 0 to 1, `count` a number. */
  readonly unit: string;
  readonly least: number;
  readonly usual: number;
  readonly most: number;
}

/** A part of a plant fault: its patch, after how long and for how long it holds; without `lasts_s` as long as the fault. */
export interface PlantPart {
  readonly patch: PlantPatch;
  readonly after_s: number;
  readonly lasts_s?: number;
}

/** What the stage does to inject a fault of a size. */
export type Injected =
  | {
      readonly where: 'plant';
      readonly parts: readonly PlantPart[];
      /** What somebody or something has turned for it to be so. */
      readonly moves: readonly { readonly valve: ValveName; readonly to: number }[];
    }
  | { readonly where: 'link'; readonly trouble: LinkTroubleKind; readonly lasts_s?: number }
  | { readonly where: 'crew'; readonly mistakes: readonly Mistake[] };

/** One way to inject a cause. */
export interface Injection {
  readonly cause: CauseId;
  /** The row of MODEL 4 that describes it. */
  readonly row: string;
  readonly where: Injected['where'];
  /** What is seen of it from afar, on the default riser. */
  readonly observable: string;
  /** Absent where the fault is there or not. */
  readonly size?: Size;
  readonly apply: (size: number) => Injected;
}
