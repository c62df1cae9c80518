import type { Span } from './axis.ts';
import { placeOf } from './axis.ts';
import type { Lane, Mark, Window } from './lanes.ts';

interface Props {
  readonly lane: Lane;
  readonly y: number;
  readonly axis: readonly Span[];
  readonly end_ms: number;
  readonly labels: number;
  readonly isGrave: boolean;
}

/** One lane: its name, its line, what lasted, what should happen, what happened. */
export function LaneDrawing({ lane, y, axis, end_ms, labels, isGrave }: Props) {
  const right = placeOf(end_ms, axis);
  const at = (ms: number | undefined) => placeOf(ms ?? end_ms, axis);
  return (
    <g className={`lane${isGrave ? ' grave' : ''}${lane.inferred === undefined ? '' : ' inferred'}`}>
      <text x={0} y={y + 4} className="lane-label">
        {fitted(nameOf(lane, labels), labels)}
      </text>
      <line x1={labels} x2={right} y1={y} y2={y} className="rail" />
      {lane.bars.map(({ from_ms, to_ms, kind }) => (
        <rect
          key={from_ms}
          x={at(from_ms)}
          y={y - 4}
          width={Math.max(2, at(to_ms) - at(from_ms))}
          height={8}
          className={`bar ${kind}`}
        />
      ))}
      {lane.windows.map((window) => (
        <WindowBand key={window.from_ms} window={window} y={y} left={at(window.from_ms)} right={at(window.to_ms)} />
      ))}
      {lane.marks.map((mark, position) => (
        <MarkDrawing
          key={mark.id}
          mark={mark}
          x={at(mark.at_ms)}
          y={y}
          room={roomAfter(lane.marks, position, { at, right })}
        />
      ))}
      {lane.inferred !== undefined && (
        <Inferred inferred={lane.inferred} y={y} left={inferredFrom(lane, axis, labels)} right={right} />
      )}
    </g>
  );
}

/** That a lane is inferred shows by its look; where there is room the words say it too. */
const nameOf = ({ label, inferred }: Lane, room: number): string =>
  inferred !== undefined && (label.length + 10) * letter + 8 < room ? `${label}, inferred` : label;

/** About the width of a letter at the size of the labels. */
const letter = 6.4;

const fitted = (label: string, room: number): string => {
  const letters = Math.floor((room - 8) / letter);
  return label.length <= letters ? label : `${label.slice(0, letters - 1)}…`;
};

function roomAfter(
  marks: readonly Mark[],
  position: number,
  { at, right }: { readonly at: (ms: number) => number; readonly right: number },
) {
  const mark = marks[position];
  const next = marks[position + 1];
  return (next === undefined ? right : at(next.at_ms)) - at(mark?.at_ms ?? 0) - 14;
}

function MarkDrawing({
  mark,
  x,
  y,
  room,
}: {
  readonly mark: Mark;
  readonly x: number;
  readonly y: number;
  readonly room: number;
}) {
  return (
    <g className={`mark ${mark.kind}`}>
      {mark.kind === 'performed' ? (
        <rect x={x - 4.5} y={y - 4.5} width={9} height={9} />
      ) : (
        <circle cx={x} cy={y} r={5.5} />
      )}
      {mark.text !== undefined && room > 30 && (
        <text x={x + 9} y={y + 4}>
          {fitted(mark.text, room + 8)}
        </text>
      )}
    </g>
  );
}

function WindowBand({
  window,
  y,
  left,
  right,
}: {
  readonly window: Window;
  readonly y: number;
  readonly left: number;
  readonly right: number;
}) {
  const width = Math.max(3, right - left);
  return (
    <g className="window">
      <rect x={left} y={y - 9} width={width} height={18} />
      <text x={left + width / 2} y={y - 12} textAnchor="middle">
        {window.text}
      </text>
    </g>
  );
}

function inferredFrom({ inferred }: Lane, axis: readonly Span[], labels: number): number {
  if (inferred?.from_ms === undefined || !inferred.isSeen) return axis[0]?.left ?? labels;
  return placeOf(inferred.from_ms, axis);
}

interface InferredProps {
  readonly inferred: NonNullable<Lane['inferred']>;
  readonly y: number;
  readonly left: number;
  readonly right: number;
}

/** An inferred position says its certainty in a number; an unseen one is hatched. Neither looks like a report. */
function Inferred({ inferred, y, left, right }: InferredProps) {
  const { text, isSeen } = inferred;
  const width = Math.max(2, right - left);
  const words = width > text.length * letter + 16;
  return (
    <>
      <rect x={left} y={y - 7} width={width} height={14} className={`belief ${isSeen ? 'seen' : 'hatched'}`} />
      <text x={words ? left + 8 : left - 6} y={y + 4} textAnchor={words ? 'start' : 'end'} className="belief-text">
        {text}
      </text>
    </>
  );
}
