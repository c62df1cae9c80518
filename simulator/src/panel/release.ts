import { callsRelease, disconnects, releaseAfter_s, switchesRelease, waitsForTwo } from './conduct.ts';
import type { Line } from './line.ts';
import { stands } from './line.ts';
import type { Draft } from './panel-state.ts';
import { after_s, eachLine } from './panel-state.ts';
import { publish } from './publish.ts';

/** Begins the release's delay when the programme calls for it; once begun, only a reset or the loss of power ends it. */
export function considerRelease(draft: Draft): void {
  if (draft.defects.has('release-follows-device') && !isHeldByDevice(draft)) dropRelease(draft);
  if (draft.commanded || draft.releaseAt_s !== Infinity || !isCalledFor(draft)) return;
  draft.releaseAt_s = after_s(draft.at_s, releaseAfter_s(draft));
}

/** Switches the output on when the delay is over. */
export function commandRelease(draft: Draft): void {
  draft.releaseAt_s = Infinity;
  draft.commanded = true;
}

/** Takes the command back, in its delay or after it. */
export function dropRelease(draft: Draft): void {
  draft.releaseAt_s = Infinity;
  draft.commanded = false;
}

/**
 * Lets current flow in the release circuit or not: the output is on, the panel has power, the disconnect switch is closed
 * and the wiring is whole. So a switch that is closed while the alarm still is held releases at once.
 */
export function switchSolenoid(draft: Draft): void {
  const energized =
    draft.commanded &&
    draft.releaseFault === undefined &&
    switchesRelease(draft) &&
    !(isDisconnected(draft) && disconnects(draft));
  if (energized !== draft.energized) draft.outputs.push({ at_s: draft.at_s, type: 'solenoid', energized });
  draft.energized = energized;
  if (!draft.running || energized === draft.energizedSaid) return;
  draft.energizedSaid = energized;
  const point = draft.settings.solenoidPoint;
  if (point !== undefined) publish(draft, { signal: 'solenoid', state: energized ? 'active' : 'restored', point });
}

const isDisconnected = (draft: Draft): boolean =>
  [...eachLine(draft)].some(([{ signal }, { field }]) => signal === 'release-disconnect' && field);

function isCalledFor(draft: Draft): boolean {
  const calling = [...eachLine(draft)]
    .filter(([line, state]) => callsRelease(draft, line) && stands(state))
    .map(([line]) => line);
  if (!waitsForTwo(draft)) return calling.length > 0;
  return calling.some((line) => !isCrossed(line)) || new Set(calling.map(({ zone }) => zone)).size > 1;
}

/** A pull station is somebody's decision and needs no second witness (common practice). */
const isCrossed = ({ kind, signal }: Line): boolean => kind === 'alarm' && signal !== 'manual-pull';

const isHeldByDevice = (draft: Draft): boolean =>
  [...eachLine(draft)].some(([line, { accepted }]) => callsRelease(draft, line) && accepted);
