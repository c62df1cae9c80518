import { inUnit } from '@tidemark/kernel';
import type { PlayedStory } from '../stage/run-story.ts';
import type { Heard } from '../stage/stage.ts';
import type { StepDeed } from '../stage/story.ts';
import type { Moment } from '../stage/trace.ts';
import type { Truth } from '../stage/truth.ts';
import type { Note, Plotted, PositionLane, SignalLane } from './plotted.ts';

/** The units that a drawing speaks: psi and gpm, or bar and L/min. */
export type DrawnUnits = 'psi' | 'bar';

/** What a drawing is told beside the story. */
export interface Drawing {
  readonly title: string;
  readonly subtitle: string;
  readonly length_s: number;
  readonly units: DrawnUnits;
}

/** Everything that is drawn of a story that was played and traced. */
export function plottedStory({ heard, trace, truth }: PlayedStory, drawing: Drawing): Plotted {
  const { length_s, subtitle, title, units } = drawing;
  const [pressure, flow] = units === 'psi' ? (['psi', 'gpm'] as const) : (['bar', 'L/min'] as const);
  const curve = (name: string, unit: 'psi' | 'bar' | 'gpm' | 'L/min', of: (moment: Moment) => number) => ({
    name,
    samples: trace.map((moment) => [moment.at_s, inUnit(of(moment), unit)] as const),
  });
  return {
    title,
    subtitle,
    from_s: 0,
    to_s: length_s,
    panels: [
      {
        title: 'Pressures',
        unit: pressure,
        curves: [
          curve('supply', pressure, ({ pressures_Pa }) => pressures_Pa.supply),
          curve('priming chamber', pressure, ({ pressures_Pa }) => pressures_Pa.chamber),
          curve('outlet', pressure, ({ pressures_Pa }) => pressures_Pa.outlet),
          curve('alarm line', pressure, ({ pressures_Pa }) => pressures_Pa.alarmLine),
        ],
      },
      {
        title: 'Flows',
        unit: flow,
        curves: [
          curve('nozzles', flow, ({ flows_m3_s }) => flows_m3_s.nozzles),
          curve('drains', flow, ({ flows_m3_s }) => flows_m3_s.outletDrains + flows_m3_s.supplyDrain),
          curve('from the supply', flow, ({ flows_m3_s }) => flows_m3_s.supplyValve),
        ],
      },
    ],
    positions: positionsOf(trace),
    signals: signalsOf(heard),
    notes: notesOf(truth),
    moments_s: truth.milestones.map(({ at_s }) => at_s),
  };
}

/** The lanes that are always drawn; any other valve has one when it moved. */
const always = ['supply valve', 'deluge valve', 'solenoid'];

function positionsOf(trace: readonly Moment[]): readonly PositionLane[] {
  const lane = (name: string, of: (moment: Moment) => number): PositionLane => ({
    name,
    samples: trace.map((moment) => [moment.at_s, of(moment)] as const),
  });
  const lanes = [
    lane('supply valve', ({ positions }) => positions.supply),
    lane('deluge valve', ({ clapper }) => clapper),
    lane('solenoid', ({ positions }) => positions.solenoid),
    lane('manual release', ({ positions }) => positions['manual-release']),
    lane('priming valve', ({ positions }) => positions.prime),
    lane('alarm line valve', ({ positions }) => positions['alarm-line']),
    lane('alarm test valve', ({ positions }) => positions['alarm-test']),
    lane('system drain', ({ positions }) => positions['system-drain']),
    lane('auxiliary drain', ({ positions }) => positions['auxiliary-drain']),
    lane('supply drain', ({ positions }) => positions['supply-drain']),
  ];
  return lanes.filter(
    ({ name, samples }) => always.includes(name) || samples.some(([, open]) => open !== samples[0]?.[1]),
  );
}

/** What the station was told, by its times of receipt, in the order in which it heard of each signal first. */
function signalsOf(heard: readonly Heard[]): readonly SignalLane[] {
  const lanes = new Map<string, { spans: { from_s: number; to_s: number | undefined }[]; strokes_s: number[] }>();
  for (const each of heard) {
    if (each.topic !== 'signal' || !('state' in each.event.data)) continue;
    const { point, signal, state } = each.event.data;
    if (signal === 'periodic-test') continue;
    const name = point === undefined ? signal : `${signal} (${String(point)})`;
    const lane = lanes.get(name) ?? { spans: [], strokes_s: [] };
    lanes.set(name, lane);
    const open = lane.spans.findLast(({ to_s }) => to_s === undefined);
    if (state === 'performed') lane.strokes_s.push(each.received_s);
    else if (state === 'active' && open === undefined) lane.spans.push({ from_s: each.received_s, to_s: undefined });
    else if (state === 'active') lane.strokes_s.push(each.received_s);
    else if (open !== undefined) open.to_s = each.received_s;
  }
  return [...lanes].map(([name, lane]) => ({ name, ...lane }));
}

const notesOf = ({ acts, causes }: Truth): readonly Note[] => [
  ...acts.map((act) => ({ at_s: act.at_s, text: spoken(act) })),
  ...causes.flatMap(({ cause, from_s, row, to_s }) => [
    { at_s: from_s, text: `fault: ${cause}${row === '' ? '' : ` (${row})`}` },
    ...(to_s === undefined ? [] : [{ at_s: to_s, text: `mended: ${cause}` }]),
  ]),
];

function spoken(deed: StepDeed): string {
  switch (deed.act) {
    case 'valve':
      return `${deed.valve} ${deed.to === 0 ? 'shut' : deed.to === 1 ? 'opened' : `to ${String(Math.round(deed.to * 100))} %`}`;
    case 'device':
      return `device at point ${String(deed.point)} ${deed.state === 'active' ? 'operated' : 'set back'}`;
    case 'button':
      return deed.button;
    case 'switch':
      return `${deed.switch} ${deed.on ? 'on' : 'off'}`;
    case 'station':
      return `to the station: ${deed.command.command}`;
  }
}
