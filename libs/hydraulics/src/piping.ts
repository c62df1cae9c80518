import type { RiserFigures } from './figures.ts';
import { boreArea_m2 } from './orifice.ts';

/** One length of pipe of a branch, numbered from the end nozzle inwards. */
export interface BranchRun {
  readonly bore_m: number;
  readonly length_m: number;
}

/** How many nozzles each branch carries, from the riser outwards: full branches first, the last one takes the rest. */
export function branchNozzles({ nozzles, piping }: RiserFigures): readonly number[] {
  const perBranch = piping.branch.nozzles;
  const branches = Math.ceil(nozzles.count / perBranch);
  return Array.from({ length: branches }, (_, branch) => Math.min(perBranch, nozzles.count - branch * perBranch));
}

/** The pipes of a branch of so many nozzles, from the end inwards; the innermost joins the main. */
export function branchRuns({ piping }: RiserFigures, nozzles: number): readonly BranchRun[] {
  const { boresFromEnd_m, first_m, spacing_m } = piping.branch;
  return Array.from({ length: nozzles }, (_, run) => ({
    bore_m: boresFromEnd_m[run] ?? boresFromEnd_m.at(-1) ?? boresFromEnd_m[0],
    length_m: run === nozzles - 1 ? first_m : spacing_m,
  }));
}

/** Volume of the riser pipe, m³. */
export const riserVolume_m3 = ({ piping }: RiserFigures): number =>
  boreArea_m2(piping.riser.bore_m) * piping.riser.height_m;

/** Volume of all dry piping above the deluge valve, m³: riser, main and branches. */
export function pipingVolume_m3(figures: RiserFigures): number {
  const { main } = figures.piping;
  const branches = branchNozzles(figures);
  const branchVolumes = branches.flatMap((nozzles) =>
    branchRuns(figures, nozzles).map(({ bore_m, length_m }) => boreArea_m2(bore_m) * length_m),
  );
  const main_m3 = boreArea_m2(main.bore_m) * main.spacing_m * branches.length;
  return riserVolume_m3(figures) + main_m3 + branchVolumes.reduce((sum, volume) => sum + volume, 0);
}
