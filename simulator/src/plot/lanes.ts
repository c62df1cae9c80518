import type { Frame } from './curves.ts';
import { backdrop } from './curves.ts';
import type { PositionLane, SignalLane } from './plotted.ts';
import type { Scene } from './scenes.ts';
import { placeOf } from './scenes.ts';
import { element, lineBetween, pathThrough, textAt } from './svg.ts';
import { withinScene } from './thinned.ts';

/** A lane whose filled height says how far open something is. */
export function positionLane({ name, samples }: PositionLane, frame: Frame): string {
  const floor = frame.top + frame.height;
  return [
    laneBehind(name, frame),
    ...frame.scenes.flatMap((scene) => {
      const points = withinScene(samples, scene).map(
        ([across, open]) => [across, floor - open * frame.height] as const,
      );
      const [first, last] = [points[0], points.at(-1)];
      if (first === undefined || last === undefined) return [];
      const outline = pathThrough([[first[0], floor], ...points, [last[0], floor]]);
      return [element('path', { d: outline, class: 'open' })];
    }),
  ].join('');
}

/** A lane with a bar while something lasts and a stroke where something happens. */
export function signalLane({ name, spans, strokes_s }: SignalLane, frame: Frame): string {
  const inset = 3;
  return [
    laneBehind(name, frame),
    ...frame.scenes.flatMap((scene) => [
      ...spans.flatMap((span) =>
        bar(span, scene, { ...frame, top: frame.top + inset, height: frame.height - 2 * inset }),
      ),
      ...strokes_s.filter(isIn(scene)).map((at_s) => {
        const across = placeOf(scene, at_s);
        return lineBetween([across, frame.top + 1], [across, frame.top + frame.height - 1], { class: 'stroke' });
      }),
    ]),
  ].join('');
}

/** Whether a scene shows a moment. */
export const isIn =
  ({ from_s, to_s }: Scene) =>
  (at_s: number): boolean =>
    at_s >= from_s && at_s <= to_s;

const laneBehind = (name: string, frame: Frame): string =>
  [
    ...frame.scenes.map((scene) => backdrop(scene, frame)),
    textAt((frame.scenes[0]?.left ?? 0) - 8, frame.top + frame.height - 5, name, {
      class: 'small',
      'text-anchor': 'end',
    }),
  ].join('');

/** A bar is never so short that it cannot be seen. */
const leastBar = 1.5;

function bar(
  { from_s, to_s = Infinity }: SignalLane['spans'][number],
  scene: Scene,
  { top, height }: Frame,
): readonly string[] {
  if (from_s > scene.to_s || to_s < scene.from_s) return [];
  const left = placeOf(scene, Math.max(from_s, scene.from_s));
  const right = placeOf(scene, Math.min(to_s, scene.to_s));
  return [element('rect', { x: left, y: top, width: Math.max(leastBar, right - left), height, class: 'active' })];
}
