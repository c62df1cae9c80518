/** A stretch of time that is drawn to its own scale, or a fold that hides a quiet one. */
export interface Span {
  readonly kind: 'stretch' | 'fold';
  readonly from_ms: number;
  readonly to_ms: number;
  readonly left: number;
  readonly right: number;
}

/** A gap shorter than this is never folded: it would hide a breath. A choice of this project. */
const foldFrom_ms = 45_000;

/** A gap is folded when it is longer than this many times the busier of the stretches beside it. */
const foldRatio = 1.5;

/** More folds than these, and the drawing is all creases. */
const folding = { wide: { limit: 6, width: 46 }, narrow: { limit: 3, width: 24 } };

/** Narrower than this, folds are narrower and fewer. */
const narrowBelow = 520;

const stretchMinimum = 26;

interface Cluster {
  readonly from_ms: number;
  readonly to_ms: number;
  readonly marks: number;
}

/**
 * Lays the moments out on a line `width` wide: busy stretches get room by what they hold, quiet ones between them are
 * folded. The order is kept, each stretch is linear, and every moment given has its place.
 */
export function foldedAxis(moments_ms: readonly number[], width: number): readonly Span[] {
  const fold = width < narrowBelow ? folding.narrow : folding.wide;
  const clusters = clustersOf(
    [...new Set(moments_ms)].toSorted((left, right) => left - right),
    fold.limit,
  );
  const folds = clusters.length - 1;
  const room = Math.max(width - folds * fold.width, clusters.length * stretchMinimum);
  const weights = clusters.map(weightOf);
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const spare = room - clusters.length * stretchMinimum;
  const spans: Span[] = [];
  let left = 0;
  clusters.forEach((cluster, index) => {
    const before = clusters[index - 1];
    if (before !== undefined) {
      spans.push({ kind: 'fold', from_ms: before.to_ms, to_ms: cluster.from_ms, left, right: left + fold.width });
      left += fold.width;
    }
    const wide = stretchMinimum + (spare * (weights[index] ?? 0)) / total;
    spans.push({ kind: 'stretch', from_ms: cluster.from_ms, to_ms: cluster.to_ms, left, right: left + wide });
    left += wide;
  });
  return spans;
}

/** Room by the number of marks, and a little by how long the stretch lasts. */
const weightOf = ({ from_ms, to_ms, marks }: Cluster): number => marks + 0.6 * Math.log2(1 + (to_ms - from_ms) / 1_000);

function clustersOf(sorted_ms: readonly number[], foldLimit: number): readonly Cluster[] {
  let clusters: readonly Cluster[] = sorted_ms.map((at) => ({ from_ms: at, to_ms: at, marks: 1 }));
  for (;;) {
    const next = nearestPair(clusters, foldLimit);
    if (next === undefined) return clusters;
    clusters = joined(clusters, next);
  }
}

/** The two neighbours to join next: the closest whose gap is no fold, or the closest of all while folds are too many. */
function nearestPair(clusters: readonly Cluster[], foldLimit: number): number | undefined {
  const gaps = clusters.slice(1).map((cluster, index) => ({ index, gap_ms: gapBefore(clusters, index + 1), cluster }));
  const byGap = gaps.toSorted((left, right) => left.gap_ms - right.gap_ms);
  const plain = byGap.find(({ index, gap_ms }) => {
    const busier = Math.max(spanOf(clusters[index]), spanOf(clusters[index + 1]));
    return gap_ms <= Math.max(foldFrom_ms, foldRatio * busier);
  });
  if (plain !== undefined) return plain.index;
  return gaps.length > foldLimit ? byGap[0]?.index : undefined;
}

const gapBefore = (clusters: readonly Cluster[], index: number): number =>
  (clusters[index]?.from_ms ?? 0) - (clusters[index - 1]?.to_ms ?? 0);

const spanOf = (cluster: Cluster | undefined): number => (cluster === undefined ? 0 : cluster.to_ms - cluster.from_ms);

function joined(clusters: readonly Cluster[], index: number): readonly Cluster[] {
  const [first, second] = [clusters[index], clusters[index + 1]];
  if (first === undefined || second === undefined) return clusters;
  const one = { from_ms: first.from_ms, to_ms: second.to_ms, marks: first.marks + second.marks };
  return [...clusters.slice(0, index), one, ...clusters.slice(index + 2)];
}

/** Where a moment stands. Before the first and after the last it stands at the edge. */
export function placeOf(at_ms: number, axis: readonly Span[]): number {
  const span =
    axis.find(({ kind, from_ms, to_ms }) => kind === 'stretch' && from_ms <= at_ms && at_ms <= to_ms) ??
    axis.find(({ to_ms }) => at_ms <= to_ms) ??
    axis.at(-1);
  if (span === undefined) return 0;
  const share =
    span.to_ms === span.from_ms
      ? span === axis.at(-1)
        ? 1
        : 0.5
      : (at_ms - span.from_ms) / (span.to_ms - span.from_ms);
  return span.left + Math.min(1, Math.max(0, share)) * (span.right - span.left);
}

/** A labelled moment of the axis; `brief` leaves the hour out, since a label before it says it. */
export interface Tick {
  readonly at_ms: number;
  readonly x: number;
  readonly brief: boolean;
}

const steps_ms = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1_800, 3_600, 7_200, 21_600, 86_400].map((s) => s * 1_000);

/** So much room a label takes, with its hour and without. */
const label = { full: 66, brief: 34 };

/** The labelled moments: the first of each stretch in full, and round ones after it as far as there is room. */
export function ticksOf(axis: readonly Span[]): readonly Tick[] {
  const ticks: Tick[] = [];
  let free = -Infinity;
  for (const span of axis.filter(({ kind }) => kind === 'stretch')) {
    const first = placeOf(span.from_ms, axis);
    if (first - label.full / 2 >= free) {
      ticks.push({ at_ms: span.from_ms, x: first, brief: false });
      free = first + label.full / 2;
    }
    for (const at_ms of roundMoments(span)) {
      const x = placeOf(at_ms, axis);
      if (x - label.brief / 2 < free || x + label.brief / 2 > span.right + 8) continue;
      ticks.push({ at_ms, x, brief: true });
      free = x + label.brief / 2;
    }
  }
  return ticks;
}

function roundMoments({ from_ms, to_ms, left, right }: Span): readonly number[] {
  const perPixel = (to_ms - from_ms) / (right - left);
  const step = steps_ms.find((each) => each >= perPixel * (label.brief + 30));
  if (step === undefined || to_ms === from_ms) return [];
  const first = Math.ceil((from_ms + 1) / step) * step;
  return Array.from(
    { length: Math.max(0, Math.floor((to_ms - first) / step) + 1) },
    (_none, index) => first + index * step,
  );
}
