import type { Finding } from '@tidemark/api';
import type { Span } from './axis.ts';
import { placeOf } from './axis.ts';
import type { Lane } from './lanes.ts';

interface Props {
  readonly finding: Finding;
  readonly lanes: readonly Lane[];
  readonly axis: readonly Span[];
  readonly middles: readonly number[];
}

/** Along a lane, then across to the next: never slantwise over lanes it does not concern. */
const steps = (path: readonly { readonly x: number; readonly y: number }[]): string =>
  path.map(({ x, y }, index) => (index === 0 ? `M${x} ${y}` : `H${x} V${y}`)).join(' ');

/** The line that ties a finding's evidence together: a ring around each mark it rests on, in the order of time. */
export function EvidenceTie({ finding, lanes, axis, middles }: Props) {
  const cited = new Set(finding.evidence.map(({ id }) => id));
  const places = lanes
    .flatMap(({ marks }, index) =>
      marks.filter(({ id }) => cited.has(id)).map(({ at_ms }) => ({ at_ms, y: middles[index] ?? 0 })),
    )
    .toSorted((left, right) => left.at_ms - right.at_ms)
    .map(({ at_ms, y }) => ({ x: placeOf(at_ms, axis), y }));
  const windows = lanes.flatMap(({ windows: own }, index) =>
    own.map(({ to_ms }) => ({ x: placeOf(to_ms, axis), y: middles[index] ?? 0 })),
  );
  const limit = finding.window === undefined ? undefined : windows[0];
  const path = [...places, ...(limit === undefined ? [] : [limit])];
  return (
    <g className={`tie ${finding.severity}`}>
      <path d={steps(path)} />
      {places.map(({ x, y }) => (
        <circle key={`${x} ${y}`} cx={x} cy={y} r={9} />
      ))}
      {limit !== undefined && <path d={`M${limit.x} ${limit.y - 12} v24`} className="limit" />}
    </g>
  );
}
