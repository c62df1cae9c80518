import type { ContactState, SignalData } from '@tidemark/signals';
import { isInitiating } from '@tidemark/signals';
import { clockAhead_s, groupOf, publishedPoint, restoresWithReset } from './conduct.ts';
import type { Line, LineKind } from './line.ts';
import { stands } from './line.ts';
import type { Draft, Group, Groups, WorkedLine } from './panel-state.ts';
import { eachLine } from './panel-state.ts';

/** Publishes a signal at the draft's moment. */
export function publish(draft: Draft, data: SignalData): void {
  const ahead_s = clockAhead_s(draft);
  draft.outputs.push({
    at_s: draft.at_s,
    type: 'signal',
    data,
    ...(ahead_s === undefined ? {} : { clockAhead_s: ahead_s }),
    ...('state' in data && data.state === 'restored' && draft.defects.has('number-repeated')
      ? { numberAgain: true }
      : {}),
  });
}

/** Announces every line that changed, then the groups whose lamp went on or out. */
export function announceChanges(draft: Draft): void {
  for (const [line, state] of eachLine(draft)) {
    const shown = state.accepted || (state.latched && restoresWithReset(draft, line));
    if (shown && (state.anew || !state.announced)) announce(draft, [line, state], 'active');
    if (!shown && state.announced && readsNormal(state)) announce(draft, [line, state], 'restored');
    state.anew = false;
  }
  announceGroups(draft);
}

/** Publishes the state of a line. */
export function announce(draft: Draft, [line, worked]: readonly [Line, WorkedLine], state: ContactState): void {
  worked.announced = state === 'active';
  if (!line.published || isLost(draft, line, state)) return;
  const point = publishedPoint(draft, line);
  publish(draft, { signal: line.signal, state, ...(point === undefined ? {} : { point }) });
}

/** Announces the groups whose lamp went on or out. */
export function announceGroups(draft: Draft): void {
  const lit = (kind: LineKind): boolean =>
    [...eachLine(draft)].some(([line, state]) => groupOf(draft, line) === kind && stands(state));
  draft.groups = {
    alarm: turned(draft, 'alarm', lit('alarm')),
    supervisory: turned(draft, 'supervisory', lit('supervisory')),
    trouble: turned(draft, 'trouble', lit('trouble')),
  };
}

function turned(draft: Draft, kind: keyof Groups, lit: boolean): Group {
  const group = draft.groups[kind];
  if (group.lit === lit) return group;
  const mute = kind === 'alarm' && draft.defects.has('panel-alarm-not-anew') && draft.rescanAt_s === draft.at_s;
  const said = lit && !mute;
  if (said !== group.said) publish(draft, { signal: `panel-${kind}`, state: said ? 'active' : 'restored' });
  return { lit, said };
}

/** Only what is seen to be normal restores; behind an open circuit nothing is seen. */
const readsNormal = ({ sampled }: WorkedLine): boolean => sampled === false;

const isLost = ({ defects }: Draft, { signal }: Line, state: ContactState): boolean =>
  state === 'restored' && isInitiating(signal) && defects.has('restoral-lost');
