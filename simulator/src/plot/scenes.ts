import { invariant } from '@tidemark/kernel';

/** A stretch of the story drawn to one scale, from one place on the page to another. */
export interface Scene {
  readonly from_s: number;
  readonly to_s: number;
  readonly left: number;
  readonly right: number;
}

/** Where on the page the scenes may stand, and how far apart. */
export interface Stage {
  readonly left: number;
  readonly right: number;
  readonly gap: number;
}

/** So many scenes fit side by side and can still be read. */
const mostScenes = 9;
/** Nothing happens for so long before a scene ends; longer where there would be too many scenes. */
const quiet_s = 15;
/** Shown before and after what happens in a scene: a share of its length, within bounds. */
const margin = { share: 0.06, least_s: 0.3, most_s: 20 } as const;

/**
 * Cuts a story into scenes around what happens in it. A trip takes a second and a shut-down half an hour: on one scale the
 * first would be a stroke, so each scene has its own, and the quiet between two is left out.
 */
export function scenesOf(
  moments_s: readonly number[],
  [from_s, to_s]: readonly [number, number],
  stage: Stage,
): readonly Scene[] {
  invariant(to_s > from_s, 'a story that is drawn takes time');
  const inside = moments_s.filter((at_s) => at_s >= from_s && at_s <= to_s).toSorted((one, other) => one - other);
  let spans = clusters(inside, quiet_s);
  for (let apart_s = quiet_s; spans.length > mostScenes; apart_s *= 1.5) spans = clusters(inside, apart_s);
  const wide = (spans.length === 0 ? [[from_s, to_s] as const] : spans).map((span) => widened(span, [from_s, to_s]));
  return placed(merged(wide), stage);
}

type Span = readonly [from_s: number, to_s: number];

function clusters(moments_s: readonly number[], apart_s: number): readonly Span[] {
  const spans: Span[] = [];
  for (const at_s of moments_s) {
    const last = spans.at(-1);
    if (last !== undefined && at_s - last[1] <= apart_s) spans[spans.length - 1] = [last[0], at_s];
    else spans.push([at_s, at_s]);
  }
  return spans;
}

function widened([from_s, to_s]: Span, [first_s, last_s]: Span): Span {
  const beside_s = Math.min(margin.most_s, Math.max(margin.least_s, (to_s - from_s) * margin.share));
  const span: Span = [Math.max(first_s, from_s - beside_s), Math.min(last_s, to_s + 2 * beside_s)];
  return span[1] > span[0] ? span : [first_s, last_s];
}

function merged(spans: readonly Span[]): readonly Span[] {
  return spans.reduce<readonly Span[]>((before, span) => {
    const last = before.at(-1);
    return last !== undefined && span[0] <= last[1]
      ? [...before.slice(0, -1), [last[0], Math.max(last[1], span[1])]]
      : [...before, span];
  }, []);
}

/** Longer scenes are wider, but by far less than they are longer. */
function placed(spans: readonly Span[], { left, right, gap }: Stage): readonly Scene[] {
  const weight = ([from_s, to_s]: Span): number => 1 + Math.log2(1 + (to_s - from_s));
  const room = right - left - gap * (spans.length - 1);
  const whole = spans.reduce((sum, span) => sum + weight(span), 0);
  let at = left;
  return spans.map((span) => {
    const scene = { from_s: span[0], to_s: span[1], left: at, right: at + (room * weight(span)) / whole };
    at = scene.right + gap;
    return scene;
  });
}

/** The place of a moment within its scene. */
export const placeOf = ({ from_s, to_s, left, right }: Scene, at_s: number): number =>
  left + ((at_s - from_s) / (to_s - from_s)) * (right - left);

/** Even steps for the scale of a scene, s. */
const steps_s = [
  0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1_200, 1_800, 3_600, 7_200, 14_400, 28_800, 86_400,
];

/** The moments to mark on a scene's scale, no nearer to each other than so many places. */
export function ticksOf(scene: Scene, apart: number): readonly number[] {
  const [length_s, width] = [scene.to_s - scene.from_s, scene.right - scene.left];
  const step_s = steps_s.find((each) => (each / length_s) * width >= apart) ?? length_s;
  const first = Math.ceil(scene.from_s / step_s - 1e-9);
  const count = Math.floor(scene.to_s / step_s + 1e-9) - first + 1;
  return Array.from({ length: Math.max(0, count) }, (_, index) => (first + index) * step_s);
}
