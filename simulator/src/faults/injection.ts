import type { Random } from '@tidemark/kernel';
import type { CauseId } from '@tidemark/words';
import type { ProcedureName } from '../crew/procedures.ts';
import type { Mistake } from '../crew/step.ts';
import { triangular } from '../crew/triangular.ts';
import type { LinkTroubleKind } from '../link/trouble.ts';
import type { PanelInput } from '../panel/panel-input.ts';
import type { FaultForm, FaultSize, PatchSpan } from '../plant/fault-recipe.ts';
import type { Programme } from './programme.ts';

/** What somebody who plays a story does to inject a fault of a size. All times count from the moment of injection. */
export type Injected =
  | {
      readonly where: 'plant';
      /** A part without an end holds as long as the fault. */
      readonly parts: readonly PatchSpan[];
      /** What somebody or something has turned for it to be so; the end of the fault does not turn it back. */
      readonly moves: FaultForm['moves'];
    }
  | {
      readonly where: 'panel';
      readonly begin: readonly PanelInput[];
      readonly end: readonly PanelInput[];
      /** Points whose devices do nothing when they are operated. */
      readonly dead: readonly number[];
    }
  | { readonly where: 'link'; readonly trouble: LinkTroubleKind; readonly lasts_s?: number }
  /** Mistakes in a ready-made procedure: there is no moment of their own. */
  | { readonly where: 'crew'; readonly procedure: ProcedureName; readonly mistakes: readonly Mistake[] }
  /** The panel is programmed or wired otherwise than the riser's profile says. */
  | { readonly where: 'profile'; readonly programme: Programme };

/** One way to inject a cause into a riser. */
export interface Injection {
  readonly cause: CauseId;
  /** The row of the fault catalogue (MODEL 4); empty for a cause without one. */
  readonly row: string;
  /** Tells several ways of one row apart; empty for the first or only one. */
  readonly form: string;
  readonly where: Injected['where'];
  /** What is changed, and what is seen of it from afar on the default riser. */
  readonly wrong: string;
  readonly observable: string;
  /** Absent where the fault is there or not. */
  readonly size?: FaultSize;
  /** A size outside its range is allowed, and may be without any effect. */
  readonly apply: (size: number) => Injected;
}

/** A plausible size: mostly about the usual one. 1 for what has none. */
export const plausibleSize = ({ size }: Injection, random: Random): number =>
  size === undefined ? 1 : triangular(size, random);
