import { invariant, unreachable } from '@tidemark/kernel';
import { reset, silence } from './buttons.ts';
import type { LineState } from './line.ts';
import { linesOf, quietLine } from './line.ts';
import type { Circuit, CircuitFault, PanelInput } from './panel-input.ts';
import type { PanelSettings } from './panel-settings.ts';
import type { Draft, Panel, PanelStep, WorkedLine } from './panel-state.ts';
import { draftOf, eachLine, stepOf } from './panel-state.ts';
import { followPower, sendTest, start } from './power.ts';
import { announceChanges } from './publish.ts';
import { commandRelease, considerRelease, switchSolenoid } from './release.ts';
import { acceptReadings, awaitScan, findAgain, scan } from './scan.ts';

/** A panel at rest, with power and whole wiring. It sends its first periodic test at `at_s`, s from the story's beginning. */
export function createPanel(settings: PanelSettings, at_s: number): Panel {
  const dark = { lit: false, said: false };
  const lines = linesOf(settings);
  return {
    settings,
    lines,
    at_s,
    states: lines.map((): LineState => quietLine),
    defects: new Set(),
    releaseFault: undefined,
    gauges: new Map(),
    running: true,
    groups: { alarm: dark, supervisory: dark, trouble: dark },
    sounding: false,
    silenced: false,
    commanded: false,
    energized: false,
    energizedSaid: false,
    scanAt_s: Infinity,
    rescanAt_s: Infinity,
    releaseAt_s: Infinity,
    testAt_s: at_s,
    startAt_s: Infinity,
  };
}

/** The panel at a later moment, and what it did by itself after the last one, up to and including that moment. */
export function advancePanel(panel: Panel, to_s: number): PanelStep {
  const draft = draftOf(panel);
  runTo(draft, to_s);
  return stepOf(draft);
}

/**
 * The panel after something was done to it at a moment not before anything already told: what it did by itself until
 * then, and what follows at once. A contact is read by the next scan. A point that the panel does not have is a bug of
 * the caller.
 */
export function operatePanel(panel: Panel, at_s: number, input: PanelInput): PanelStep {
  const draft = draftOf(panel);
  runTo(draft, at_s);
  take(draft, input);
  if (draft.running) awaitScan(draft);
  conclude(draft);
  runTo(draft, at_s);
  return stepOf(draft);
}

/** The moment at which the panel does something by itself next, if nothing is done to it meanwhile. */
export function panelWake(panel: Panel): number | undefined {
  const holds = panel.states.map(({ acceptAt_s }) => acceptAt_s);
  const { releaseAt_s, rescanAt_s, scanAt_s, startAt_s, testAt_s } = panel;
  const next_s = Math.min(scanAt_s, rescanAt_s, releaseAt_s, testAt_s, startAt_s, ...holds);
  return next_s === Infinity ? undefined : next_s;
}

function runTo(draft: Draft, to_s: number): void {
  invariant(to_s >= draft.at_s, 'a panel only goes forward');
  for (let next_s = panelWake(draft); next_s !== undefined && next_s <= to_s; next_s = panelWake(draft)) {
    draft.at_s = next_s;
    actByItself(draft);
  }
  draft.at_s = to_s;
}

/** Everything that is due at the draft's moment. */
function actByItself(draft: Draft): void {
  if (draft.startAt_s <= draft.at_s) start(draft);
  if (draft.testAt_s <= draft.at_s) sendTest(draft);
  if (draft.scanAt_s <= draft.at_s) scan(draft);
  acceptReadings(draft);
  if (draft.rescanAt_s <= draft.at_s) findAgain(draft);
  if (draft.releaseAt_s <= draft.at_s) commandRelease(draft);
  conclude(draft);
  if (draft.rescanAt_s <= draft.at_s) draft.rescanAt_s = Infinity;
}

/** What follows from the state of the lines: the release, and announcements. */
function conclude(draft: Draft): void {
  considerRelease(draft);
  switchSolenoid(draft);
  if (draft.running) announceChanges(draft);
}

function take(draft: Draft, input: PanelInput): void {
  switch (input.type) {
    case 'contact':
      lineAt(draft, input.point).field = input.active;
      return;
    case 'reading':
      invariant(
        draft.settings.readings.some(({ point }) => point === input.point),
        'a gauge is wired to a point of the panel',
      );
      draft.gauges = new Map(draft.gauges).set(input.point, input.si);
      return;
    case 'circuit':
      wire(draft, input.circuit, input.fault);
      return;
    case 'trouble':
      setField(draft, input.trouble, input.on);
      return;
    case 'power':
      setField(draft, input.source === 'ac' ? 'ac-power' : 'battery', !input.good);
      followPower(draft);
      return;
    case 'button':
      if (draft.running) (input.button === 'reset' ? reset : silence)(draft);
      return;
    case 'switch':
      setField(draft, input.switch, input.on);
      return;
    case 'defect':
      draft.defects = new Set([...draft.defects].filter((each) => each !== input.defect));
      if (input.on) draft.defects = new Set([...draft.defects, input.defect]);
      return;
    default:
      unreachable(input);
  }
}

function lineAt(draft: Draft, point: number): WorkedLine {
  const found = [...eachLine(draft)].find(([line]) => line.point === point)?.[1];
  invariant(found !== undefined, 'a contact is wired to a point of the panel');
  return found;
}

function setField(draft: Draft, signal: string, on: boolean): void {
  for (const [line, state] of eachLine(draft)) if (line.signal === signal) state.field = on;
}

function wire(draft: Draft, circuit: Circuit, fault: CircuitFault | undefined): void {
  if (circuit === 'release') draft.releaseFault = fault;
  else lineAt(draft, circuit).circuit = fault;
}
