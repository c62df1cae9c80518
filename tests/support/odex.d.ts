/** The part of `odex` 2 that the tests use; the package ships sources that do not compile under this project's settings. */
export class Solver {
  constructor(dimension: number);
  absoluteTolerance: number | number[];
  relativeTolerance: number | number[];
  maxSteps: number;
  denseOutput: boolean;
  solve(
    derivative: (x: number, y: number[]) => number[],
    from: number,
    start: number[],
    to: number,
  ): { readonly y: number[]; readonly nStep: number; readonly nEval: number };
}
