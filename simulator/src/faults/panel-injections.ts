import type { Profile } from '@tidemark/riser';
import { classOf, isInitiating } from '@tidemark/signals';
import type { PanelInput } from '../panel/panel-input.ts';
import type { Injected, Injection } from './injection.ts';
import { noted } from './notes.ts';
import type { Note } from './notes.ts';
import type { Programme } from './programme.ts';

/** Rows R2, R3, C1 to C4 and C7 to C9; what a riser has no point for cannot be injected into it. */
export function panelInjections(profile: Profile, aimed: number | undefined): readonly Injection[] {
  const initiating = profile.points.filter(({ signal }) => isInitiating(signal)).map(({ point }) => point);
  const point = initiating.find((each) => each === aimed) ?? initiating[0];
  return [
    ...releaseInjections(),
    ...(point === undefined ? [] : deviceInjections(point)),
    ...programmeInjections(profile),
    at('panel-power-lost', 'C9', { begin: [ac(false)], end: [ac(true)] }),
    at('panel-power-lost', 'C9 all', { begin: [ac(false), battery(false)], end: [ac(true), battery(true)] }),
  ];
}

const releaseInjections = (): readonly Injection[] => [
  at('release-wiring-fault', 'R2', circuit('release', 'open')),
  at('release-wiring-fault', 'R2 short', circuit('release', 'short')),
  at('release-output-dead', 'R3', {
    begin: [{ type: 'defect', defect: 'release-output-dead', on: true }],
    end: [{ type: 'defect', defect: 'release-output-dead', on: false }],
  }),
  at('release-left-disabled', 'C4', {
    begin: [{ type: 'switch', switch: 'release-disconnect', on: true }],
    end: [{ type: 'switch', switch: 'release-disconnect', on: false }],
  }),
];

const deviceInjections = (point: number): readonly Injection[] => [
  at('initiating-device-stuck', 'C1', circuit(point, 'short')),
  at('initiating-device-dead', 'C2', { begin: [], end: [], dead: [point] }),
  at('initiating-circuit-open', 'C3', circuit(point, 'open')),
];

function programmeInjections({ panel, points }: Profile): readonly Injection[] {
  const other = panel.supervisoryRestorals === 'contact' ? 'reset' : 'contact';
  const numberOf = (signal: string): number | undefined => points.find((each) => each.signal === signal)?.point;
  const contacts = points.filter(({ signal }) => ['alarm', 'supervisory'].includes(classOf(signal)));
  const [one, two] = [numberOf('waterflow'), numberOf('prime-pressure-low')];
  const [first, second] = one === undefined || two === undefined ? contacts.map(({ point }) => point) : [one, two];
  return [
    otherwise('supervisory-latching', 'C7', { supervisoryRestorals: other }),
    ...(first === undefined || second === undefined
      ? []
      : [otherwise('points-swapped', 'C8', { swapped: [first, second] })]),
  ];
}

const ac = (good: boolean): PanelInput => ({ type: 'power', source: 'ac', good });
const battery = (good: boolean): PanelInput => ({ type: 'power', source: 'battery', good });

interface AtPanel {
  readonly begin: readonly PanelInput[];
  readonly end: readonly PanelInput[];
  readonly dead?: readonly number[];
}

/** A wire that is open or shorted until somebody mends it. */
const circuit = (where: number | 'release', fault: 'open' | 'short'): AtPanel => ({
  begin: [{ type: 'circuit', circuit: where, fault }],
  end: [{ type: 'circuit', circuit: where, fault: undefined }],
});

function at(cause: Injection['cause'], note: Note, { begin, dead = [], end }: AtPanel): Injection {
  return { cause, ...noted(note), where: 'panel', apply: (): Injected => ({ where: 'panel', begin, end, dead }) };
}

const otherwise = (cause: Injection['cause'], note: Note, programme: Programme): Injection => ({
  cause,
  ...noted(note),
  where: 'profile',
  apply: (): Injected => ({ where: 'profile', programme }),
});
