import type { HiddenElement, PointState, RiserView, SignalName } from '@tidemark/api';
import { speakDuration } from '@tidemark/kernel';
import { pointWords } from '../words/riser-words.ts';
import { Instrument, Label, Nozzle, Restriction, Solenoid, Valve } from './symbols.tsx';
import type { ValveState } from './symbols.tsx';

interface Props {
  readonly view: RiserView;
  readonly now_ms: number;
}

/** From this certainty on, a position is drawn; below it the part is hatched. As in the server's waterline. */
const shownFrom = 0.6;

/** The riser in standard symbols: water where it stands, hatched where nobody can see. The table below says the same. */
export function Schematic({ view, now_ms }: Props) {
  const { waterline } = view;
  const known = (element: HiddenElement) => position(view, element);
  return (
    <section className="schematic">
      <h2>Where the water is</h2>
      <svg
        viewBox="0 0 372 352"
        role="img"
        aria-label={`Schematic of ${view.riser}. The tables below say the same in words.`}
      >
        <MainPipe waterline={waterline} />
        <Trim view={view} />
        <Valve x={140} y={292} upright size={15} state={valveState(known('supply-valve')?.position)} />
        <g className="valve-body">
          <path d="M125 214 h-16" className="stroke" />
          <path d="M109 202 a12 12 0 0 0 0 24 Z" className="dome" />
          <Valve x={140} y={214} upright size={17} state={valveState(known('clapper')?.position)} />
        </g>
        <PointInstrument view={view} signal="supply-valve" letters="ZS" x={196} y={292} lead="M153 292 H183" />
        <PointInstrument view={view} signal="waterflow" letters="FS" x={250} y={172} lead="M237 172 H237" />
        <PointInstrument view={view} signal="prime-pressure-low" letters="PSL" x={81} y={176} lead="M81 212 V189" />
        <Labels view={view} now_ms={now_ms} />
      </svg>
      <p className="soft key">Solid valve: shut. Hollow: open. Hatched: cannot be seen. Blue: water.</p>
    </section>
  );
}

/** Supply, body and riser, each stretch by what is known of it. */
function MainPipe({ waterline }: Pick<RiserView, 'waterline'>) {
  const { supply, outlet, piping } = waterline;
  return (
    <g>
      <rect x={133} y={304} width={14} height={48} className="pipe water" />
      <rect x={133} y={230} width={14} height={50} className={`pipe ${supply}`} />
      <rect x={133} y={150} width={14} height={50} className={`pipe ${outlet}`} />
      <path d="M133 150 V28 H340 V42 H147 V150 Z" className={`pipe ${piping}`} />
      <Nozzle x={190} y={42} />
      <Nozzle x={240} y={42} />
      <Nozzle x={300} y={42} />
    </g>
  );
}

/** The small lines: priming from below the supply valve to the chamber, the solenoid on it, alarm line and drain. */
function Trim({ view }: { readonly view: RiserView }) {
  const chamber = filling(position(view, 'prime-chamber')?.position);
  const line = filling(position(view, 'alarm-line')?.position);
  const solenoid = position(view, 'solenoid')?.position;
  return (
    <g>
      <path d="M133 330 H28 V230" className="line water" />
      <path d="M28 230 V196" className={`line ${chamber}`} />
      <path d="M64 214 H97" className={`line ${chamber}`} />
      <Valve x={28} y={300} upright size={9} state={valveState(position(view, 'prime-valve')?.position)} />
      <Restriction x={28} y={262} />
      <rect x={14} y={196} width={50} height={36} className={`pipe ${chamber}`} />
      <path d="M36 196 V150 H14" className={`line ${chamber}`} />
      <Valve x={24} y={150} size={8} state={solenoid === 'energized' ? 'open' : valveState(solenoid)} />
      <Solenoid x={24} y={150} isActive={isActive(view, 'solenoid')} />
      <path d="M147 172 H237" className={`line ${line}`} />
      <path d="M147 248 H168" className={`line ${view.waterline.supply}`} />
      <path d="M184 248 H196 V262" className={`line ${behindDrain(view)}`} />
      <Valve x={176} y={248} size={8} state={drainState(view)} />
    </g>
  );
}

const position = (view: RiserView, element: HiddenElement) =>
  view.positions.find((each) => each.element === element && each.certainty >= shownFrom);

function valveState(words: string | undefined): ValveState {
  if (words === undefined) return 'unseen';
  if (/^(open|energized|vented)/.test(words)) return 'open';
  return /^(shut|closed|at rest|de-energized)/.test(words) ? 'shut' : 'unseen';
}

function filling(words: string | undefined): 'water' | 'empty' | 'unseen' {
  if (words === undefined) return 'unseen';
  if (/^(pressuri[sz]ed|water|full|under pressure)/.test(words)) return 'water';
  return /^(vented|empty|drained|at rest|without pressure)/.test(words) ? 'empty' : 'unseen';
}

const drainState = (view: RiserView): ValveState => valveState(position(view, 'drains')?.position);

/** Behind a drain that is shut stands nothing; whether one that nobody sees runs, nobody sees either. */
const behindDrain = (view: RiserView): 'water' | 'empty' | 'unseen' =>
  (({ open: view.waterline.supply, shut: 'empty', unseen: 'unseen' }) as const)[drainState(view)];

const pointOf = (view: RiserView, signal: SignalName): PointState | undefined =>
  view.points.find((point) => point.signal === signal);

const isActive = (view: RiserView, signal: SignalName): boolean => pointOf(view, signal)?.state === 'active';

interface InstrumentProps {
  readonly view: RiserView;
  readonly signal: SignalName;
  readonly letters: string;
  readonly x: number;
  readonly y: number;
  /** From the pipe it is tapped off to its circle. */
  readonly lead: string;
}

/** Drawn only where the riser has the point: what is not installed is not shown. */
function PointInstrument({ view, signal, letters, x, y, lead }: InstrumentProps) {
  if (pointOf(view, signal) === undefined) return null;
  return (
    <g>
      <path d={lead} className="lead-line" />
      <Instrument x={x} y={y} letters={letters} isActive={isActive(view, signal)} />
    </g>
  );
}

function Labels({ view, now_ms }: Props) {
  const said = (signal: SignalName) => reported(pointOf(view, signal), now_ms);
  return (
    <g>
      <Label x={268} y={169} name="Waterflow">
        {said('waterflow')}
      </Label>
      <Label x={214} y={289} name="Supply valve">
        {said('supply-valve')}
      </Label>
      <Label x={166} y={211} name="Deluge valve">
        {inferred(view, 'clapper')}
      </Label>
      <Label x={202} y={251} name="Drain">
        {inferred(view, 'drains')}
      </Label>
      <Label x={2} y={84} name="Solenoid">
        {said('solenoid')}
      </Label>
      <Label x={48} y={139} name="Priming">
        {said('prime-pressure-low')}
      </Label>
    </g>
  );
}

/** What a point of the drawing says, in the words of its part. */
const says: Partial<Readonly<Record<SignalName, readonly [active: string, restored: string]>>> = {
  waterflow: ['water', 'no water'],
  'supply-valve': ['not fully open', 'fully open'],
  solenoid: ['energized', 'at rest'],
  'prime-pressure-low': ['low', 'normal'],
};

function reported(point: PointState | undefined, now_ms: number): string {
  if (point === undefined) return 'no point';
  if (point.state === 'never-seen' || point.state === 'not-known') return pointWords[point.state];
  const [active, restored] = says[point.signal] ?? ['active', 'restored'];
  const words = point.state === 'active' ? active : restored;
  return point.since === undefined ? words : `${words}, ${brief(now_ms - Date.parse(point.since))}`;
}

/** The larger unit is enough beside a symbol. */
const brief = (ms: number): string => speakDuration(ms).split(' ').slice(0, 2).join(' ');

function inferred(view: RiserView, element: HiddenElement): string {
  const found = view.positions.find((each) => each.element === element);
  if (found === undefined || found.certainty < shownFrom) return 'cannot be seen';
  return `${found.position}, ${found.certainty.toFixed(2)}`;
}
