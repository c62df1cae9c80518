import type { Scene } from './scenes.ts';
import { placeOf } from './scenes.ts';
import type { Sample } from './plotted.ts';

/** A quantity in one scene as places across and values, with the edges of the scene interpolated. */
export function withinScene(samples: readonly Sample[], scene: Scene): readonly Sample[] {
  const inside = samples.filter(([at_s]) => at_s > scene.from_s && at_s < scene.to_s);
  const edges = [scene.from_s, scene.to_s].flatMap((at_s): readonly Sample[] => {
    const value = valueAt(samples, at_s);
    return value === undefined ? [] : [[at_s, value]];
  });
  const [first, last] = [
    edges.filter(([at_s]) => at_s === scene.from_s),
    edges.filter(([at_s]) => at_s === scene.to_s),
  ];
  return thinned([...first, ...inside, ...last].map(([at_s, value]): Sample => [placeOf(scene, at_s), value]));
}

/** By linear interpolation; nothing outside what was sampled. Of two samples at a moment the later counts. */
function valueAt(samples: readonly Sample[], at_s: number): number | undefined {
  const next = samples.findIndex((sample) => sample[0] > at_s);
  const before = samples[(next < 0 ? samples.length : next) - 1];
  if (before === undefined) return undefined;
  const after = next < 0 ? undefined : samples[next];
  if (after === undefined) return before[1];
  return before[1] + ((at_s - before[0]) / (after[0] - before[0])) * (after[1] - before[1]);
}

/** Of all values that fall on one place across, the first, the least, the greatest and the last: the eye sees no more. */
function thinned(points: readonly Sample[]): readonly Sample[] {
  const columns = new Map<number, Sample[]>();
  for (const point of points) {
    const column = Math.round(point[0] * 2);
    const known = columns.get(column);
    if (known === undefined) columns.set(column, [point]);
    else known.push(point);
  }
  return [...columns.values()].flatMap((column) => (column.length <= 4 ? column : extremes(column)));
}

function extremes(column: readonly Sample[]): readonly Sample[] {
  const by = (better: (one: number, other: number) => boolean) =>
    column.reduce((best, point) => (better(point[1], best[1]) ? point : best));
  const kept = new Set([column[0], by((one, other) => one < other), by((one, other) => one > other), column.at(-1)]);
  return column.filter((point) => kept.has(point));
}
