import type { RiserFigures } from '@tidemark/hydraulics';
import { invariant } from '@tidemark/kernel';
import type { Profile } from '@tidemark/riser';
import { causeIds } from '@tidemark/words';
import type { CauseId } from '@tidemark/words';
import type { FaultRecipe } from '../plant/fault-recipe.ts';
import { faultRecipes } from '../plant/fault-table.ts';
import { crewInjections } from './crew-injections.ts';
import type { Injected, Injection } from './injection.ts';
import { linkInjections } from './link-injections.ts';
import { isNote, noted } from './notes.ts';
import type { Note } from './notes.ts';
import { panelInjections } from './panel-injections.ts';

/** Where there is a choice, what a fault is aimed at. */
export interface Aim {
  /** The initiating device's point. */
  readonly point?: number;
}

/**
 * Every way to inject every cause of CONTRACT 8 into a riser, in the order of the causes: the plant's rows with their
 * sizes, wiring and conduct of the panel, troubles of the link, mistakes of people, and what is programmed otherwise
 * than the profile says. A cause that the riser has no point for is not in it.
 */
export function injections(figures: RiserFigures, profile: Profile, { point }: Aim = {}): readonly Injection[] {
  const all = [
    ...plantInjections(figures),
    ...panelInjections(profile, point),
    ...crewInjections(),
    ...linkInjections(),
  ];
  return causeIds.flatMap((cause) => all.filter((each) => each.cause === cause));
}

/** The rows that a fault of the plant has; a row that the catalogue has in several sizes is one here. */
const plantInjections = (figures: RiserFigures): readonly Injection[] =>
  Object.entries(faultRecipes(figures)).flatMap(([cause, recipes]) =>
    recipes
      .filter(({ size }, index) => size === undefined || recipes.findIndex((each) => each.size === size) === index)
      .map((recipe, index, forms): Injection => {
        const again = forms.findIndex(({ row }) => row === recipe.row) < index;
        const note = again ? otherForms[recipe.row] : recipe.row;
        invariant(isNote(note), 'every form of every row of the plant has its note');
        return {
          cause: cause as CauseId,
          ...noted(note),
          where: 'plant',
          ...sizeOf(recipe),
          apply: (size) => applied(recipe, size),
        };
      }),
  );

/** The second form of a row, where it has one. */
const otherForms: Readonly<Record<string, Note>> = { R6: 'R6 slow', R14: 'R14 leaking', A4: 'A4 line' };

const sizeOf = ({ size }: FaultRecipe): Pick<Injection, 'size'> => (size === undefined ? {} : { size });

function applied({ ofSize }: FaultRecipe, size: number): Injected {
  const { moves, patch, spans } = ofSize(size);
  return { where: 'plant', parts: spans ?? [{ patch, after_s: 0 }], moves };
}
