import { inUnit } from '@tidemark/kernel';
import { announcesAnew, believesBlindly, forgetsAtOnce, groupOf, hold_s, latches, scan_s, watches } from './conduct.ts';
import type { Line } from './line.ts';
import type { ReadingPoint } from './panel-settings.ts';
import type { Draft, WorkedLine } from './panel-state.ts';
import { after_s, eachLine } from './panel-state.ts';
import { publish } from './publish.ts';

/** Sees to it that the next scan comes: the first beat of the panel's scan after the draft's moment. */
export function awaitScan(draft: Draft): void {
  draft.scanAt_s = Math.min(draft.scanAt_s, (Math.floor(draft.at_s / scan_s) + 1) * scan_s);
}

/** Reads every line, begins and ends holds, and passes gauges on. What came and went between two scans is not seen. */
export function scan(draft: Draft): void {
  draft.scanAt_s = Infinity;
  for (const [line, state] of eachLine(draft)) {
    state.sampled = reads(draft, line, state);
    const holding = state.acceptAt_s !== Infinity;
    if (differs(state)) {
      if (!holding) state.acceptAt_s = after_s(draft.at_s, hold_s(draft, line, !state.accepted));
    } else if (holding && (state.accepted || forgetsAtOnce(draft, line))) state.acceptAt_s = Infinity;
  }
  for (const reading of draft.settings.readings) passOn(draft, reading);
  draft.gauges = new Map();
}

/** Acts on what has held long enough. */
export function acceptReadings(draft: Draft): void {
  for (const [line, state] of eachLine(draft)) {
    if (state.acceptAt_s > draft.at_s) continue;
    state.acceptAt_s = Infinity;
    if (state.accepted && state.sampled === false) deactivate(state);
    else if (!state.accepted && (state.sampled === true || believesBlindly(draft, line))) activate(draft, line, state);
    if (differs(state)) awaitScan(draft);
  }
}

/** Whether the last scan read other than what the panel acts on. */
const differs = ({ accepted, sampled }: WorkedLine): boolean => sampled !== undefined && sampled !== accepted;

/** After a reset has settled: what still is off normal is a new occasion. What an open circuit hides calls no more. */
export function findAgain(draft: Draft): void {
  for (const [line, state] of eachLine(draft)) {
    if (!state.owed) continue;
    if (state.sampled === undefined) deactivate(state);
    else if (announcesAnew(draft, line)) activate(draft, line, state);
  }
}

function activate(draft: Draft, line: Line, state: WorkedLine): void {
  const heldAlready = state.latched;
  state.accepted = true;
  state.owed = false;
  state.latched = latches(draft, line);
  state.anew = !heldAlready;
  if (groupOf(draft, line) === 'alarm' && !heldAlready) sound(draft);
}

function deactivate(state: WorkedLine): void {
  state.accepted = false;
  state.owed = false;
}

/** A new alarm turns silenced horns on again (NFPA 72, 10.13 and 23.8.2; the resounding from memory, FACTS 1.15). */
function sound(draft: Draft): void {
  if (draft.sounding || (draft.silenced && draft.defects.has('silence-lasts'))) return;
  draft.sounding = true;
  draft.silenced = false;
  draft.outputs.push({ at_s: draft.at_s, type: 'notification', sounding: true });
}

/** What a line reads: behind an open circuit nothing, and with a short a closed contact. */
function reads(draft: Draft, line: Line, { circuit, field }: WorkedLine): boolean | undefined {
  if (!watches(draft, line)) return false;
  if (line.signal === 'initiating-circuit') return draft.states.some((state) => state.circuit === 'open');
  if (line.signal === 'release-circuit') return draft.releaseFault !== undefined;
  if (circuit === 'open') return undefined;
  return circuit === 'short' || field;
}

function passOn(draft: Draft, { point, ...named }: ReadingPoint): void {
  const si = draft.gauges.get(point);
  if (si === undefined) return;
  publish(draft, { ...named, value: Math.round(inUnit(si, named.unit) * 10) / 10, point });
}
