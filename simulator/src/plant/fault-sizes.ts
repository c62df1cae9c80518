import { orificeConstant_m3_s_sqrtPa, tripPressure_Pa } from '@tidemark/hydraulics';
import type { RiserFigures } from '@tidemark/hydraulics';
import { invariant, quantity } from '@tidemark/kernel';
import type { FaultForm, FaultRecipe, FaultSize } from './fault-recipe.ts';

/** A flow constant written in the trade's unit, m³/s/√Pa. */
export function cv(gpmPerRootPsi: number): number {
  const converted = quantity(gpmPerRootPsi, 'gpm/psi^0.5');
  invariant(converted.ok, 'the unit of a flow constant is known');
  return converted.value.si;
}

/** Leaks of the chamber, m³/s/√Pa: unnoticed, seen by the priming switch only, and enough to trip the valve. */
export interface ChamberLeaks {
  readonly unnoticed: number;
  readonly warning: number;
  readonly tripping: number;
}

/** The sizes at which a leak of this riser's chamber begins to be noticed, from the closed form of its pressure. */
export function chamberLeaks({ delugeValve, prime, supply, switches }: RiserFigures): ChamberLeaks {
  const drive_Pa = supply.static_Pa - prime.checkCrack_Pa;
  const holding = (chamber_Pa: number): number =>
    orificeConstant_m3_s_sqrtPa(prime) * Math.sqrt(drive_Pa / chamber_Pa - 1);
  const low = holding(switches.primeLow.acts_Pa);
  const trip = holding(tripPressure_Pa(delugeValve, supply.static_Pa));
  return { unnoticed: 0.8 * low, warning: (low + trip) / 2, tripping: 1.15 * trip };
}

/** A recipe of the catalogue's row that is there or not; without moves unless they are given. */
export const recipe = (row: string, patch: FaultForm['patch'], moves: FaultForm['moves'] = []): FaultRecipe => ({
  row,
  patch,
  moves,
  ofSize: () => ({ patch, moves }),
});

/** A recipe of the catalogue's row in each size that the catalogue has, the usual one where no others are given. */
export const sized = (
  row: string,
  size: FaultSize,
  ofSize: (size: number) => Partial<FaultForm>,
  catalogued: readonly number[] = [size.usual],
): readonly FaultRecipe[] => {
  const formOf = (given: number): FaultForm => ({ patch: {}, moves: [], ...ofSize(given) });
  return catalogued.map((given) => ({ row, size, ...formOf(given), ofSize: formOf }));
};

/** A share of something. */
export const share = (what: string, [least, usual, most]: Range): FaultSize => ({
  what,
  unit: 'share',
  least,
  usual,
  most,
});

/** A flow constant, given in m³/s/√Pa and named in the trade's unit; `sized` in it with {@link cv}. */
export const leak = (what: string, [least, usual, most]: Range): FaultSize => ({
  what,
  unit: 'gpm/psi^0.5',
  least: least / cv(1),
  usual: usual / cv(1),
  most: most / cv(1),
});

type Range = readonly [least: number, usual: number, most: number];
