import type { CurvePanel } from './plotted.ts';
import type { Scene } from './scenes.ts';
import { element, lineBetween, pathThrough, textAt } from './svg.ts';
import { withinScene } from './thinned.ts';

/** How the curves of a panel are told apart: by stroke as well as by tone, so that no colour is needed to read them. */
const strokes = [
  { stroke: '#17324d', 'stroke-width': 2.4, 'stroke-dasharray': undefined },
  { stroke: '#a23b1e', 'stroke-width': 1.6, 'stroke-dasharray': '9 4' },
  { stroke: '#1d6f5f', 'stroke-width': 2, 'stroke-dasharray': '2 3' },
  { stroke: '#6a4a8c', 'stroke-width': 1.6, 'stroke-dasharray': '12 3 2 3' },
] as const;

/** Where a panel stands. */
export interface Frame {
  readonly scenes: readonly Scene[];
  readonly top: number;
  readonly height: number;
}

/** A panel of curves with its scale and its key. */
export function curvePanel(panel: CurvePanel, frame: Frame): string {
  const scale = scaleOf(panel);
  const up = (value: number): number =>
    frame.top + frame.height - ((value - scale.low) / (scale.high - scale.low)) * frame.height;
  return [
    ...frame.scenes.map((scene) => backdrop(scene, frame)),
    ...scale.marks.flatMap((mark) => [
      ...frame.scenes.map(({ left, right }) => lineBetween([left, up(mark)], [right, up(mark)], { class: 'grid' })),
      textAt((frame.scenes[0]?.left ?? 0) - 6, up(mark) + 4, String(mark), { class: 'small', 'text-anchor': 'end' }),
    ]),
    ...key(panel, frame),
    ...panel.curves.flatMap(({ samples }, index) =>
      frame.scenes.map((scene) =>
        element('path', {
          d: pathThrough(withinScene(samples, scene).map(([across, value]) => [across, up(value)] as const)),
          fill: 'none',
          'stroke-linejoin': 'round',
          ...strokes[index % strokes.length],
        }),
      ),
    ),
  ].join('');
}

/** What lies behind the drawing of a scene. */
export const backdrop = ({ left, right }: Scene, { top, height }: Frame): string =>
  element('rect', { x: left, y: top, width: right - left, height, class: 'scene' });

function key({ title, unit, curves }: CurvePanel, { top }: Frame): readonly string[] {
  return [
    textAt(12, top + 12, `${title}, ${unit}`, { class: 'strong' }),
    ...curves.flatMap(({ name }, index) => {
      const y = top + 32 + index * 18;
      return [
        lineBetween([12, y - 4], [46, y - 4], strokes[index % strokes.length]),
        textAt(52, y, name, { class: 'small' }),
      ];
    }),
  ];
}

interface Scale {
  readonly low: number;
  readonly high: number;
  readonly marks: readonly number[];
}

/** Even marks up to everything that is drawn. A little less than nought, as under suction, gets room but no mark. */
function scaleOf({ curves }: CurvePanel): Scale {
  const values = curves.flatMap(({ samples }) => samples.map(([, value]) => value));
  const lowest = values.reduce((least, value) => Math.min(least, value), 0);
  const highest = values.reduce((most, value) => Math.max(most, value), 0);
  const step = evenStep((highest - lowest || 1) / 4);
  const [first, last] = [Math.ceil(lowest / step - 1e-9), Math.max(1, Math.ceil(highest / step - 1e-9))];
  return {
    low: Math.min(lowest, first * step),
    high: last * step,
    marks: Array.from({ length: last - first + 1 }, (_, index) => Number(((first + index) * step).toPrecision(6)) + 0),
  };
}

function evenStep(least: number): number {
  const power = 10 ** Math.floor(Math.log10(least));
  return power * ([1, 2, 5, 10].find((factor) => factor * power >= least * (1 - 1e-9)) ?? 10);
}
