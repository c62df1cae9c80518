import { refusesReset } from './conduct.ts';
import type { Line } from './line.ts';
import type { Draft, WorkedLine } from './panel-state.ts';
import { after_s, eachLine } from './panel-state.ts';
import { announce, publish } from './publish.ts';
import { dropRelease } from './release.ts';
import { awaitScan } from './scan.ts';

/** Stops the horns. It touches no other output and no latch; pressed while nothing sounds it does nothing. */
export function silence(draft: Draft): void {
  if (!draft.sounding) return;
  publish(draft, { signal: 'silence', state: 'performed' });
  hush(draft);
  draft.silenced = true;
  if (draft.defects.has('silence-drops-release')) dropRelease(draft);
}

/**
 * Drops the release output, clears every latch and begins the wait for the second scan (MODEL 1.7). Where the programme
 * says so, it is refused while a device of an alarm point is active, the waterflow switch among them.
 */
export function reset(draft: Draft): void {
  const holding = [...eachLine(draft)].filter(([{ kind }, { accepted }]) => kind === 'alarm' && accepted);
  if (refusesReset(draft) && holding.length > 0) {
    const points = holding.flatMap(([{ point }]) => (point === undefined ? [] : [point]));
    draft.outputs.push({ at_s: draft.at_s, type: 'reset-refused', points });
    return;
  }
  if (!draft.defects.has('reset-not-reported')) publish(draft, { signal: 'reset', state: 'performed' });
  hush(draft);
  if (!draft.defects.has('release-held-through-reset')) dropRelease(draft);
  clearLines(draft);
  draft.rescanAt_s = after_s(draft.at_s, draft.settings.resetSettle_s);
  awaitScan(draft);
}

/** Turns the horns off, with no memory of why. */
export function hush(draft: Draft): void {
  if (draft.sounding) draft.outputs.push({ at_s: draft.at_s, type: 'notification', sounding: false });
  draft.sounding = false;
  draft.silenced = false;
}

function clearLines(draft: Draft): void {
  for (const [line, state] of eachLine(draft)) {
    if (line.kind === 'mode') continue;
    clearLine(line, state);
    if (line.kind === 'supervisory' && state.owed && draft.defects.has('supervisory-restored-early'))
      announce(draft, [line, state], 'restored');
  }
}

/** A latch goes and a retard begins anew. */
function clearLine({ kind }: Line, state: WorkedLine): void {
  state.latched = false;
  state.owed = state.accepted;
  if (!state.accepted && kind === 'alarm') state.acceptAt_s = Infinity;
}
