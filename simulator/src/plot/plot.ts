import { curvePanel } from './curves.ts';
import type { Frame } from './curves.ts';
import { isIn, positionLane, signalLane } from './lanes.ts';
import type { Note, Plotted } from './plotted.ts';
import { placeOf, scenesOf, ticksOf } from './scenes.ts';
import type { Scene } from './scenes.ts';
import { element, lineBetween, textAt } from './svg.ts';
import { speakTime } from './speak-time.ts';

const page = { width: 1_440, left: 190, right: 1_424, gap: 16 } as const;
const heights = { head: 62, panel: 150, position: 22, signal: 18, noteRow: 18, noteLine: 17 } as const;

const style = `
  text { font: 13px system-ui, sans-serif; fill: #1c2733; }
  .title { font-size: 19px; font-weight: 600; } .strong { font-weight: 600; } .small { font-size: 12px; }
  .scene { fill: #f5f6f4; } .grid { stroke: #d9dcd8; stroke-width: 1; } .tick { stroke: #aab2ac; stroke-width: 1; stroke-dasharray: 1 3; }
  .open { fill: #8fa6b8; stroke: #17324d; stroke-width: 1; } .active { fill: #17324d; } .stroke { stroke: #17324d; stroke-width: 2; }
  .note { fill: #fff; stroke: #1c2733; } .break { stroke: #8a938d; stroke-width: 1.5; fill: none; }
`;

/** Draws a story as an SVG document: curves, positions, signals and notes on one time axis, cut where nothing happens. */
export function plot(plotted: Plotted): string {
  const scenes = scenesOf(momentsOf(plotted), [plotted.from_s, plotted.to_s], page);
  const drawn = [...bands(plotted, scenes)];
  const height = drawn.reduce<number>((sum, band) => sum + band.height, heights.head) + 12;
  const bottoms = drawn.filter(({ onAxis }) => onAxis);
  const axisBottom = heights.head + bottoms.reduce((sum, band) => sum + band.height, 0);
  let top: number = heights.head;
  const body = drawn.map((band) => {
    const placed = band.draw(top);
    top += band.height;
    return placed;
  });
  return element(
    'svg',
    {
      xmlns: 'http://www.w3.org/2000/svg',
      viewBox: `0 0 ${page.width} ${height}`,
      width: page.width,
      height,
      role: 'img',
    },
    [
      element('title', {}, [textOnly(plotted.title)]),
      element('style', {}, [style]),
      element('rect', { width: page.width, height, fill: '#fff' }),
      textAt(12, 26, plotted.title, { class: 'title' }),
      textAt(12, 46, plotted.subtitle, { class: 'small' }),
      ...scenes.flatMap((scene, index) => [
        ...tickLines(scene, axisBottom),
        ...(index === 0 ? [] : [breakMark(scenes[index - 1], scene, axisBottom)]),
      ]),
      ...body,
    ],
  );
}

const textOnly = (text: string): string => text.replaceAll('&', '&amp;').replaceAll('<', '&lt;');

/** Everything that happens, so that no scene leaves it out. */
const momentsOf = ({ moments_s, signals, notes, positions }: Plotted): readonly number[] => [
  ...moments_s,
  ...notes.map(({ at_s }) => at_s),
  ...signals.flatMap(({ spans, strokes_s }) => [
    ...strokes_s,
    ...spans.flatMap(({ from_s, to_s }) => (to_s === undefined ? [from_s] : [from_s, to_s])),
  ]),
  ...positions.flatMap(({ samples }) =>
    samples.filter(([, open], index) => index > 0 && open !== samples[index - 1]?.[1]).map(([at_s]) => at_s),
  ),
];

interface Band {
  readonly height: number;
  /** Whether the lines of the time axis run through it. */
  readonly onAxis: boolean;
  readonly draw: (top: number) => string;
}

function* bands({ panels, positions, signals, notes }: Plotted, scenes: readonly Scene[]): Generator<Band> {
  const framed = (height: number, draw: (frame: Frame) => string, space = 4): Band => ({
    height: height + space,
    onAxis: true,
    draw: (top) => draw({ scenes, top, height }),
  });
  for (const panel of panels) yield framed(heights.panel, (frame) => curvePanel(panel, frame), 14);
  if (positions.length > 0) yield heading('Positions');
  for (const lane of positions) yield framed(heights.position, (frame) => positionLane(lane, frame));
  if (signals.length > 0) yield heading('Signals');
  for (const lane of signals) yield framed(heights.signal, (frame) => signalLane(lane, frame));
  yield { height: 22, onAxis: true, draw: (top) => scenes.flatMap((scene) => tickLabels(scene, top + 14)).join('') };
  if (notes.length > 0) yield* noteBands(notes, scenes);
}

const heading = (text: string): Band => ({
  height: 22,
  onAxis: true,
  draw: (top) => textAt(12, top + 15, text, { class: 'strong' }),
});

/** Numbered marks below the axis, and what each number stands for. */
function* noteBands(notes: readonly Note[], scenes: readonly Scene[]): Generator<Band> {
  const numbered = notes
    .toSorted((one, other) => one.at_s - other.at_s)
    .map((note, index) => ({ ...note, number: index + 1 }));
  const marks = scenes.flatMap((scene) =>
    numbered
      .filter(({ at_s }) => isIn(scene)(at_s))
      .map(({ at_s, number }) => ({ across: placeOf(scene, at_s), number })),
  );
  const rows = stacked(marks);
  yield {
    height: rows.length * heights.noteRow + 6,
    onAxis: false,
    draw: (top) =>
      rows.flatMap((row, index) => row.map((mark) => noteMark(mark, top + 9 + index * heights.noteRow))).join(''),
  };
  const lines = Math.ceil(numbered.length / noteColumns);
  yield {
    height: lines * heights.noteLine + 10,
    onAxis: false,
    draw: (top) =>
      numbered
        .map(({ at_s, number, text }, index) => {
          const x = 12 + Math.floor(index / lines) * ((page.width - 24) / noteColumns);
          const y = top + 16 + (index % lines) * heights.noteLine;
          return textAt(x, y, `${String(number)}  ${speakTime(at_s)}  ${text}`, { class: 'small' });
        })
        .join(''),
  };
}

const noteColumns = 3;

interface Mark {
  readonly across: number;
  readonly number: number;
}

/** Marks that would cover each other go into further rows. */
function stacked(marks: readonly Mark[]): readonly (readonly Mark[])[] {
  const rows: Mark[][] = [];
  for (const mark of marks) {
    const free = rows.find((row) => mark.across - (row.at(-1)?.across ?? -Infinity) >= 20);
    if (free === undefined) rows.push([mark]);
    else free.push(mark);
  }
  return rows;
}

const noteMark = ({ across, number }: Mark, y: number): string =>
  [
    element('circle', { cx: across, cy: y, r: 8, class: 'note' }),
    textAt(across, y + 4, String(number), { class: 'small', 'text-anchor': 'middle' }),
  ].join('');

const tickLines = (scene: Scene, bottom: number): readonly string[] =>
  ticksOf(scene, tickApart).map((at_s) =>
    lineBetween([placeOf(scene, at_s), heights.head], [placeOf(scene, at_s), bottom - 20], { class: 'tick' }),
  );

const tickLabels = (scene: Scene, y: number): readonly string[] =>
  ticksOf(scene, tickApart).map((at_s) => {
    const across = Math.max(scene.left + labelHalf, Math.min(scene.right - labelHalf, placeOf(scene, at_s)));
    return textAt(across, y, speakTime(at_s), { class: 'small', 'text-anchor': 'middle' });
  });

/** Half the width of a time that is written out, so that none runs into the next scene. */
const labelHalf = 16;

const tickApart = 64;

/** Between two scenes: how much was left out. */
function breakMark(before: Scene | undefined, { left }: Scene, bottom: number): string {
  const middle = ((before?.right ?? left) + left) / 2;
  const y = bottom - 10;
  return element('path', { d: `M${middle - 3} ${y + 6}l4 -12M${middle + 1} ${y + 6}l4 -12`, class: 'break' });
}
