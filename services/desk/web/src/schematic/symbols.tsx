import type { ReactNode } from 'react';

/**
 * Symbols of piping diagrams. Shapes after ISO 14617-8 (a valve: two triangles tip to tip), ISO 14617-6 and
 * ISA-5.1 (an instrument: a circle with its letters; a solenoid: a square with S; a diaphragm: a dome on a stem),
 * all from memory. One convention runs through: solid is shut, hollow is open, hatched is unseen.
 */
export type ValveState = 'open' | 'shut' | 'unseen';

interface At {
  readonly x: number;
  readonly y: number;
}

/** Two triangles tip to tip. `upright` for a pipe that runs up. */
export function Valve({
  x,
  y,
  state,
  upright = false,
  size = 12,
}: At & { readonly state: ValveState; readonly upright?: boolean; readonly size?: number }) {
  const half = size * 0.7;
  const shape = upright
    ? `M${x - half} ${y - size} h${half * 2} L${x - half} ${y + size} h${half * 2} Z`
    : `M${x - size} ${y - half} v${half * 2} L${x + size} ${y - half} v${half * 2} Z`;
  return <path d={shape} className={`valve ${state}`} />;
}

/** The circle of an instrument with its letters. */
export function Instrument({ x, y, letters, isActive }: At & { readonly letters: string; readonly isActive: boolean }) {
  return (
    <g className={`instrument${isActive ? ' active' : ''}`}>
      <circle cx={x} cy={y} r={13} />
      <text x={x} y={y + 4} textAnchor="middle">
        {letters}
      </text>
    </g>
  );
}

/** The square of a solenoid above its valve. */
export function Solenoid({ x, y, isActive }: At & { readonly isActive: boolean }) {
  return (
    <g className={`instrument${isActive ? ' active' : ''}`}>
      <path d={`M${x} ${y} v-14`} />
      <rect x={x - 9} y={y - 32} width={18} height={18} />
      <text x={x} y={y - 19} textAnchor="middle">
        S
      </text>
    </g>
  );
}

/** Two short strokes across a line: a restriction. */
export function Restriction({ x, y }: At) {
  return <path d={`M${x - 7} ${y - 2.5} h14 M${x - 7} ${y + 2.5} h14`} className="stroke" />;
}

/** An open nozzle below a pipe. */
export function Nozzle({ x, y }: At) {
  return <path d={`M${x} ${y} v10 m0 0 l-7 9 m7 -9 l7 9`} className="stroke" />;
}

/** A name, and below it what is known. Inferred and unseen say so in words, not by their look alone. */
export function Label({
  x,
  y,
  name,
  children,
  anchor = 'start',
}: At & { readonly name: string; readonly children: ReactNode; readonly anchor?: 'start' | 'end' | 'middle' }) {
  return (
    <text x={x} y={y} textAnchor={anchor} className="label">
      <tspan className="name">{name}</tspan>
      <tspan x={x} dy="14" className="known">
        {children}
      </tspan>
    </text>
  );
}
