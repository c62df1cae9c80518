import type { Finding, RiserView } from '@tidemark/api';
import { speakDuration } from '@tidemark/kernel';
import { useLayoutEffect, useRef, useState } from 'react';
import type { RefObject } from 'react';
import { useLive } from '../live/use-live.ts';
import { useStory } from '../riser/use-riser.ts';
import { clockTime } from '../time.ts';
import { storyLimit_events } from '../server.ts';
import { foldedAxis, placeOf, ticksOf } from './axis.ts';
import type { Span } from './axis.ts';
import { EvidenceTie } from './evidence-tie.tsx';
import { LaneDrawing } from './lane-drawing.tsx';
import { lanesOf } from './lanes.ts';
import type { Lane } from './lanes.ts';
import { laneTop, layOut } from './layout.ts';

interface Props {
  readonly view: RiserView;
  readonly finding: Finding | undefined;
  readonly now_ms: number;
  readonly isPast: boolean;
}

/** Room beside the axis: half a mark before it, half a label behind it. */
const inset = { left: 14, right: 32 };

/** The story as a drawing: a lane for each point, then what is inferred; time folds where nothing happened. */
export function Timeline({ view, finding, now_ms, isPast }: Props) {
  const { connection } = useLive();
  const { data } = useStory(view);
  const frame = useRef<HTMLDivElement>(null);
  const width = useWidth(frame);
  const offset_ms = view.link.clockOffset_ms ?? 0;
  const end_ms = now_ms + offset_ms;
  const lanes = lanesOf(view, data?.events ?? [], finding);
  const labels = width < 560 ? 112 : 176;
  const axis = foldedAxis(momentsOf(lanes, end_ms), width - labels - inset.left - inset.right).map((span) =>
    shifted(span, labels + inset.left),
  );
  const { middles, height } = layOut(lanes);
  return (
    <figure className="timeline" aria-label={`The story of ${view.riser} on ${lanes.length} lanes`} tabIndex={0}>
      <div ref={frame}>
        {width > 0 && data !== undefined && (
          <svg width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
            <Folds axis={axis} height={height} />
            <Ticks axis={axis} zone={view.site.timeZone} />
            {lanes.map((lane, index) => (
              <LaneDrawing
                key={lane.id}
                lane={lane}
                y={middles[index] ?? 0}
                axis={axis}
                end_ms={end_ms}
                labels={labels}
                isGrave={finding?.severity === 'critical' && finding.status !== 'cleared' && lane.windows.length > 0}
              />
            ))}
            {finding !== undefined && <EvidenceTie finding={finding} lanes={lanes} axis={axis} middles={middles} />}
            <End
              axis={axis}
              end_ms={end_ms}
              height={height}
              words={isPast ? 'then' : connection === 'lost' ? 'last heard' : 'now'}
            />
          </svg>
        )}
      </div>
      <figcaption className="soft">
        {caption(view)}
        {data?.complete === false &&
          ` The beginning is missing: only the newest ${storyLimit_events} events are drawn.`}
      </figcaption>
    </figure>
  );
}

function caption({ link, episode }: RiserView): string {
  const what = episode === undefined ? 'The newest events. ' : '';
  const { clockOffset_ms } = link;
  if (clockOffset_ms === undefined) return `${what}Times are the panel’s; how its clock stands to ours is not known.`;
  const size = Math.abs(clockOffset_ms) < 1_000 ? 'under 1 s' : speakDuration(clockOffset_ms);
  return `${what}Times are the panel’s clock, ${size} ${clockOffset_ms <= 0 ? 'behind' : 'ahead of'} ours, transmission included.`;
}

function momentsOf(lanes: readonly Lane[], end_ms: number): readonly number[] {
  const told = lanes.flatMap(({ marks, windows }) => [
    ...marks.map(({ at_ms }) => at_ms),
    ...windows.flatMap(({ from_ms, to_ms }) => [from_ms, to_ms]),
  ]);
  return [...told, end_ms];
}

const shifted = (span: Span, by: number): Span => ({ ...span, left: span.left + by, right: span.right + by });

function Folds({ axis, height }: { readonly axis: readonly Span[]; readonly height: number }) {
  return axis
    .filter(({ kind }) => kind === 'fold')
    .map(({ left, right, from_ms, to_ms }) => (
      <g key={from_ms} className="fold">
        <rect x={left} y={laneTop - 6} width={right - left} height={height - laneTop + 4} />
        <path d={`M${(left + right) / 2 - 3} ${laneTop - 7} l6 4 l-6 4 l6 4`} />
        <text x={(left + right) / 2} y={12} textAnchor="middle">
          {brief(to_ms - from_ms)}
        </text>
      </g>
    ));
}

/** A fold is narrow: `6 min 24 s` is `6½ min` to the reader. */
function brief(ms: number): string {
  const halves = Math.round(ms / 30_000);
  if (halves >= 4 && halves < 60) return `${Math.floor(halves / 2) || ''}${halves % 2 === 1 ? '½' : ''} min`;
  return speakDuration(ms).split(' ').slice(0, 2).join(' ');
}

function Ticks({ axis, zone }: { readonly axis: readonly Span[]; readonly zone: string }) {
  return ticksOf(axis).map(({ at_ms, x, brief: short }) => (
    <g key={at_ms} className="tick">
      <line x1={x} x2={x} y1={laneTop - 12} y2={laneTop - 6} />
      <text x={x} y={laneTop - 17} textAnchor="middle">
        {short ? shortTime(at_ms, zone) : clockTime(at_ms, zone)}
      </text>
    </g>
  ));
}

/** `:30` within the minute, `08:23` on the minute. */
function shortTime(at_ms: number, zone: string): string {
  const time = clockTime(at_ms, zone);
  return time.endsWith(':00') ? time.slice(0, 5) : time.slice(5);
}

interface EndProps {
  readonly axis: readonly Span[];
  readonly end_ms: number;
  readonly height: number;
  readonly words: string;
}

/** Where the drawing ends, and what that moment is: only a live one may be called now. */
function End({ axis, end_ms, height, words }: EndProps) {
  const x = placeOf(end_ms, axis);
  return (
    <g className="now">
      <line x1={x} x2={x} y1={laneTop - 8} y2={height - 2} />
      <text x={x} y={12} textAnchor={besideFold(axis, end_ms)}>
        {words}
      </text>
    </g>
  );
}

/** A fold that borders on the moment has its own words in the same row: these stand on the other side. */
function besideFold(axis: readonly Span[], at_ms: number): 'start' | 'middle' | 'end' {
  const folds = axis.filter(({ kind }) => kind === 'fold');
  if (folds.some(({ from_ms }) => from_ms === at_ms)) return 'end';
  return folds.some(({ to_ms }) => to_ms === at_ms) ? 'start' : 'middle';
}

function useWidth(frame: RefObject<HTMLDivElement | null>): number {
  const [width, setWidth] = useState(0);
  useLayoutEffect(() => {
    const element = frame.current;
    if (element === null) return undefined;
    const observer = new ResizeObserver(() => setWidth(Math.floor(element.clientWidth)));
    observer.observe(element);
    return () => observer.disconnect();
  }, [frame]);
  return width;
}
