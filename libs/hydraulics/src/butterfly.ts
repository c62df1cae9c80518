/**
 * Loss coefficient of a butterfly valve by closing angle, degrees from open: Weisbach's measurements. 5, 10, 20, 40 and
 * 60 degrees as reprinted on a page read for this project; the others from memory of the same handbook table.
 */
const table: readonly (readonly [number, number])[] = [
  [5, 0.24],
  [10, 0.52],
  [15, 0.9],
  [20, 1.54],
  [25, 2.51],
  [30, 3.91],
  [35, 6.22],
  [40, 10.8],
  [45, 18.7],
  [50, 32.6],
  [55, 58.8],
  [60, 118],
  [65, 256],
  [70, 751],
];

/**
 * Discharge coefficient of the open crescent beyond the table, fitted so that the formula meets the table at 70 degrees
 * (750.4 against 751).
 */
const crescentCoefficient = 0.584;

/** Loss by geometric open area, beyond the table: `(1/(0.584(1 − sin α)) − 1)²`. Infinite when shut. */
const crescentLoss = (angle_deg: number): number =>
  (1 / (crescentCoefficient * (1 - Math.sin((angle_deg * Math.PI) / 180))) - 1) ** 2;

/**
 * Loss coefficient that the disc adds at a closing angle: linear from 0 to the table's first row, linear in ln K between
 * rows, by open area from 70 degrees. Increases with the angle; infinite at 90.
 */
export function butterflyLoss(angle_deg: number): number {
  const [first, last] = [table[0], table.at(-1)];
  if (first === undefined || last === undefined || angle_deg <= 0) return 0;
  if (angle_deg <= first[0]) return (first[1] * angle_deg) / first[0];
  if (angle_deg >= 90) return Number.POSITIVE_INFINITY;
  if (angle_deg >= last[0]) return Math.max(last[1], crescentLoss(angle_deg));
  const above = table.findIndex(([angle]) => angle >= angle_deg);
  const [low, high] = [table[above - 1] ?? first, table[above] ?? last];
  const share = (angle_deg - low[0]) / (high[0] - low[0]);
  return Math.exp(Math.log(low[1]) + share * (Math.log(high[1]) - Math.log(low[1])));
}

/**
 * Loss coefficient of a butterfly valve by opening, 0 shut to 1 open, the disc turning in proportion; `openLoss` is what
 * the open valve keeps (0.2 to 0.6: table after Streeter and Wylie).
 */
export const butterflyLossAt = (opening: number, openLoss: number): number =>
  openLoss + butterflyLoss(90 * (1 - opening));
