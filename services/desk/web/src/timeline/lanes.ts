import type { Finding, RiserEvent, RiserView, SignalName } from '@tidemark/api';
import { commandWords } from '../words/command-words.ts';
import { elementWords, signalWords, windowWords } from '../words/riser-words.ts';

/** Something that happened at a moment, drawn as a mark. */
export interface Mark {
  readonly id: string;
  readonly at_ms: number;
  readonly kind: 'active' | 'restored' | 'performed';
  /** Written beside the mark where the lane alone does not say it. */
  readonly text?: string;
}

/** How long something lasted; without an end it lasts still. */
export interface Bar {
  readonly from_ms: number;
  readonly to_ms: number | undefined;
  readonly kind: 'reported' | 'not-known';
}

/** One lane of the story. */
export interface Lane {
  readonly id: string;
  readonly label: string;
  readonly marks: readonly Mark[];
  readonly bars: readonly Bar[];
  /** An inferred position: from its newest evidence on. Unseen ones are hatched. */
  readonly inferred?: { readonly from_ms: number | undefined; readonly text: string; readonly isSeen: boolean };
  /** What should happen on this lane, and when. */
  readonly windows: readonly Window[];
}

/** When something should happen. */
export interface Window {
  readonly from_ms: number;
  readonly to_ms: number;
  readonly text: string;
}

/** From this certainty on, an inferred position is drawn as one. The same figure stands in the server's waterline. */
const shownFrom = 0.6;

const onPanelLane = new Set<string>([
  'reset',
  'silence',
  'panel-alarm',
  'panel-supervisory',
  'panel-trouble',
  'test-mode',
  'periodic-test',
]);

/** The lanes of a riser's story, on the panel's clock: its points, its panel, the desk, then what is inferred. */
export function lanesOf(view: RiserView, events: readonly RiserEvent[], finding: Finding | undefined): readonly Lane[] {
  const offset_ms = view.link.clockOffset_ms ?? 0;
  const story: Story = { view, events, finding, offset_ms };
  const lanes = [...pointLanes(story), panelLane(story), linkLane(story), deskLane(story)];
  return [...lanes.filter(({ marks, windows }) => marks.length > 0 || windows.length > 0), ...inferredLanes(story)];
}

interface Story {
  readonly view: RiserView;
  readonly events: readonly RiserEvent[];
  readonly finding: Finding | undefined;
  readonly offset_ms: number;
}

type SignalEvent = Extract<RiserEvent, { type: 'signal' }>;

/** On the panel's clock: its own where it has one, else ours moved by the offset between them. */
export function panelTime_ms(event: RiserEvent, offset_ms: number): number {
  if (event.type === 'signal' && event.observedAt !== undefined) return Date.parse(event.observedAt);
  return Date.parse(event.receivedAt) + offset_ms;
}

function pointLanes({ view, events, finding, offset_ms }: Story): readonly Lane[] {
  const signals = events.filter(
    (event): event is SignalEvent => event.type === 'signal' && event.reading === undefined,
  );
  return view.points
    .filter(({ signal }) => !onPanelLane.has(signal))
    .map((point) => {
      const alone = view.points.filter(({ signal }) => signal === point.signal).length === 1;
      const own = signals.filter((each) => each.signal === point.signal && (each.point === point.point || alone));
      const marks = own.map((each) => markOf(each, offset_ms)).toSorted((left, right) => left.at_ms - right.at_ms);
      return {
        id: `${point.signal} ${point.point ?? ''}`,
        label: point.label === point.signal ? signalWords(point.signal) : point.label,
        marks,
        bars: barsOf(marks, point.state === 'not-known'),
        windows: windowsOf(view, finding, point.signal, offset_ms),
      };
    });
}

const markOf = (event: SignalEvent, offset_ms: number): Mark => ({
  id: event.id,
  at_ms: panelTime_ms(event, offset_ms),
  kind: event.state ?? 'performed',
});

/** From each activation to its restoral. A panel that cannot tell of restorals leaves its last bar open and hatched. */
function barsOf(marks: readonly Mark[], isNotKnown: boolean): readonly Bar[] {
  const bars: Bar[] = [];
  let from: number | undefined;
  for (const { at_ms, kind } of marks) {
    if (kind === 'active') from ??= at_ms;
    else if (from !== undefined) {
      bars.push({ from_ms: from, to_ms: at_ms, kind: 'reported' });
      from = undefined;
    }
  }
  return from === undefined
    ? bars
    : [...bars, { from_ms: from, to_ms: undefined, kind: isNotKnown ? 'not-known' : 'reported' }];
}

function windowsOf(
  view: RiserView,
  finding: Finding | undefined,
  signal: SignalName,
  offset_ms: number,
): readonly Window[] {
  const words = finding === undefined ? undefined : windowWords[finding.code];
  if (finding?.window !== undefined && words?.signal === signal)
    return [{ from_ms: Date.parse(finding.window.from), to_ms: Date.parse(finding.window.to), text: words.should }];
  const step = view.restoration.find(
    ({ status, expects, by }) => status === 'waiting' && expects === signal && by !== undefined,
  );
  if (step?.by === undefined) return [];
  const to_ms = Date.parse(step.by) + offset_ms;
  const from_ms = Math.min(Date.parse(view.asOf) + offset_ms, to_ms);
  return [{ from_ms, to_ms, text: 'awaited' }];
}

function panelLane({ events, offset_ms }: Story): Lane {
  const marks = events
    .filter((event): event is SignalEvent => event.type === 'signal' && onPanelLane.has(event.signal))
    .map((event) => ({ ...markOf(event, offset_ms), text: panelWords(event) }));
  return { id: 'panel', label: 'Panel', marks, bars: [], windows: [] };
}

function panelWords({ signal, state }: SignalEvent): string {
  if (signal === 'silence') return 'silenced';
  const words = signal.replace('panel-', '').replaceAll('-', ' ');
  return state === 'restored' ? `${words} over` : words;
}

function linkLane({ events, offset_ms }: Story): Lane {
  const marks = events.flatMap((event): readonly Mark[] =>
    event.type === 'link'
      ? [
          {
            id: event.id,
            at_ms: panelTime_ms(event, offset_ms),
            kind: event.link === 'down' ? 'active' : 'restored',
            text: event.link,
          },
        ]
      : [],
  );
  return { id: 'link', label: 'Link', marks, bars: barsOf(marks, false), windows: [] };
}

function deskLane({ events, offset_ms }: Story): Lane {
  const marks = events.flatMap((event): readonly Mark[] =>
    event.type === 'command'
      ? [
          {
            id: event.id,
            at_ms: panelTime_ms(event, offset_ms),
            kind: 'performed',
            text: `${event.by} ${commandWords(event.command)}`,
          },
        ]
      : [],
  );
  return { id: 'desk', label: 'Desk', marks, bars: [], windows: [] };
}

/** What was inferred is known for now only; so its band begins with its newest evidence and claims nothing before. */
function inferredLanes({ view }: Story): readonly Lane[] {
  return view.positions
    .filter(
      ({ element }) =>
        element === 'supply-valve' || element === 'clapper' || element === 'prime-chamber' || element === 'drains',
    )
    .map(({ element, position, certainty, evidence }) => {
      const isSeen = certainty >= shownFrom;
      const newest = evidence.map(({ at }) => Date.parse(at)).toSorted((left, right) => right - left)[0];
      return {
        id: `inferred ${element}`,
        label: elementWords[element],
        marks: [],
        bars: [],
        windows: [],
        inferred: {
          from_ms: newest,
          text: isSeen ? `${position}, ${certainty.toFixed(2)}` : 'cannot be seen from here',
          isSeen,
        },
      };
    });
}
