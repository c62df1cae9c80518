import { hush } from './buttons.ts';
import { start_s } from './conduct.ts';
import type { Draft } from './panel-state.ts';
import { after_s, eachLine } from './panel-state.ts';
import { announceGroups, publish } from './publish.ts';
import { dropRelease, switchSolenoid } from './release.ts';
import { scan } from './scan.ts';

/** Follows the two sources: without either the panel is down, and with one of them it starts. */
export function followPower(draft: Draft): void {
  const failed = (source: string): boolean =>
    [...eachLine(draft)].some(([{ signal }, { field }]) => signal === source && field);
  const powered = !(failed('ac-power') && failed('battery'));
  if (draft.running && !powered) goDown(draft);
  if (!draft.running) draft.startAt_s = powered ? Math.min(draft.startAt_s, after_s(draft.at_s, start_s)) : Infinity;
}

/** The panel is back. It knows what it last published, and nothing of alarms that it held (choice of this project). */
export function start(draft: Draft): void {
  draft.startAt_s = Infinity;
  draft.running = true;
  draft.outputs.push({ at_s: draft.at_s, type: 'running', running: true });
  draft.testAt_s = draft.at_s;
  announceGroups(draft);
  switchSolenoid(draft);
  scan(draft);
}

/** Sends the periodic test, which lasts not (CONTRACT 2: active, never restored). */
export function sendTest(draft: Draft): void {
  draft.testAt_s = after_s(draft.testAt_s, draft.settings.periodicTest_s);
  if (!draft.defects.has('periodic-test-missing')) publish(draft, { signal: 'periodic-test', state: 'active' });
}

function goDown(draft: Draft): void {
  hush(draft);
  dropRelease(draft);
  draft.running = false;
  switchSolenoid(draft);
  draft.outputs.push({ at_s: draft.at_s, type: 'running', running: false });
  draft.scanAt_s = Infinity;
  draft.rescanAt_s = Infinity;
  draft.testAt_s = Infinity;
  for (const [, state] of eachLine(draft)) {
    state.sampled = undefined;
    state.accepted = false;
    state.acceptAt_s = Infinity;
    state.latched = false;
    state.owed = false;
  }
}
