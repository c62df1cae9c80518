import { told_s } from './event.ts';
import type { FoundEvent, PlantEvent } from './event.ts';
import { contactIndex, contactNames } from './names.ts';
import type { ContactName } from './names.ts';
import { position } from './openings.ts';
import type { ContactParameters, Parameters } from './parameters.ts';
import type { Draft, PlantState } from './state.ts';

/** The quantity a contact watches: a gauge pressure, or the opening of a valve. */
export function watched(state: PlantState, parameters: Parameters, contact: ContactName): number {
  switch (contact) {
    case 'waterflow':
      return state.switch_Pa;
    case 'prime-pressure-low':
      return state.chamber_Pa;
    case 'supply-pressure-low':
      return state.supply_Pa;
    case 'supply-valve':
      return position(state, parameters, 'supply');
    case 'prime-valve':
      return position(state, parameters, 'prime');
    case 'alarm-line-valve':
      return position(state, parameters, 'alarm-line');
  }
}

/** Whether a contact would be made at rest under what it watches. */
export function madeBy({ actsAbove, acts, stuck }: ContactParameters, value: number): boolean {
  if (stuck !== undefined) return stuck === 'active';
  return actsAbove ? value >= acts : value < acts;
}

/**
 * Moves every contact on by what it saw over a step: hysteresis, retard (the condition must hold without a break), and
 * what is stuck. Returns what changed; a pending retard that begins or ends counts as a change, since its moment must be
 * located as well.
 */
export function settleContacts(from: PlantState, draft: Draft, parameters: Parameters): Settling {
  const found: FoundEvent[] = [];
  let changes = 0;
  for (const [index, contact] of contactNames.entries()) {
    const rule = parameters.contacts[index];
    if (rule === undefined || (draft.bounces[index] ?? 0) > 0) continue;
    const before = watched(from, parameters, contact);
    const seen = { rule, before, after: watched(draft, parameters, contact), from_s: from.at_s, to_s: draft.at_s };
    const change = changeOf(seen, draft.active[index] === true, draft.pendingAt_s[index] ?? Infinity);
    if (change === undefined) continue;
    if (change.type === 'cancelled') draft.pendingAt_s = draft.pendingAt_s.with(index, Infinity);
    if (change.type === 'held-back') draft.pendingAt_s = draft.pendingAt_s.with(index, change.at_s + rule.retard_s);
    if (change.type === 'made' || change.type === 'broken')
      found.push(turn(draft, { index, active: change.type === 'made', at_s: change.at_s, rule }));
    // What a timer settles was located when the timer was set.
    if (change.type !== 'made' || rule.retard_s === 0) changes += 1;
  }
  return { found, changes };
}

/** What a step changed, and how many of the changes must be located in time. */
export interface Settling {
  readonly found: readonly FoundEvent[];
  readonly changes: number;
}

/** What lay beyond its threshold from the start of a step is found in that step, after everything told before it. */
const leastShare = 1e-3;

/** Where a value passed a threshold within a step, by linear interpolation. */
export function crossing_s({ before, after, from_s, to_s }: Omit<Seen, 'rule'>, threshold: number): number {
  const share = after === before ? 0 : (threshold - before) / (after - before);
  return from_s + Math.min(1, Math.max(leastShare, share)) * (to_s - from_s);
}

/** Turns a contact as an event says, false changes and all. */
export function turnContact(draft: Draft, parameters: Parameters, event: PlantEvent & { type: 'contact' }): void {
  const index = contactIndex[event.contact];
  const rule = parameters.contacts[index];
  if (rule !== undefined) turn(draft, { index, active: event.state === 'active', at_s: event.at_s, rule });
}

/** False changes that are due: the contact turns over and waits for the next. */
export function bounceContacts(draft: Draft, parameters: Parameters): readonly FoundEvent[] {
  const found: FoundEvent[] = [];
  for (const [index, rule] of parameters.contacts.entries()) {
    const left = draft.bounces[index] ?? 0;
    if (left === 0 || (draft.bounceAt_s[index] ?? Infinity) > draft.at_s) continue;
    const active = draft.active[index] !== true;
    draft.active = draft.active.with(index, active);
    const next_s = left > 1 ? draft.at_s + gap_s(rule.chatter?.seed ?? 0, left) : Infinity;
    draft.bounces = draft.bounces.with(index, left - 1);
    draft.bounceAt_s = draft.bounceAt_s.with(index, next_s);
    found.push(contactEvent(index, active, draft.at_s));
  }
  return found;
}

interface Seen {
  readonly rule: ContactParameters;
  readonly before: number;
  readonly after: number;
  readonly from_s: number;
  readonly to_s: number;
}

type Change = { readonly type: 'made' | 'broken' | 'held-back' | 'cancelled'; readonly at_s: number } | undefined;

function changeOf(seen: Seen, active: boolean, pending_s: number): Change {
  const { after, rule, to_s } = seen;
  if (rule.stuck !== undefined) {
    if ((rule.stuck === 'active') === active) return undefined;
    return { type: active ? 'broken' : 'made', at_s: to_s };
  }
  const beyond = rule.actsAbove ? after >= rule.acts : after < rule.acts;
  const back = rule.actsAbove ? after < rule.returns : after >= rule.returns;
  if (active) return back ? { type: 'broken', at_s: crossing_s(seen, rule.returns) } : undefined;
  if (pending_s < Infinity) {
    if (back) return { type: 'cancelled', at_s: crossing_s(seen, rule.returns) };
    return pending_s <= to_s ? { type: 'made', at_s: pending_s } : undefined;
  }
  if (!beyond) return undefined;
  return { type: rule.retard_s > 0 ? 'held-back' : 'made', at_s: crossing_s(seen, rule.acts) };
}

interface Turn {
  readonly index: number;
  readonly active: boolean;
  readonly at_s: number;
  readonly rule: ContactParameters;
}

function turn(draft: Draft, { index, active, at_s, rule }: Turn): FoundEvent {
  draft.active = draft.active.with(index, active);
  draft.pendingAt_s = draft.pendingAt_s.with(index, Infinity);
  if (rule.chatter !== undefined) {
    const first_s = draft.at_s + gap_s(rule.chatter.seed, 2 * rule.chatter.pairs + 1);
    draft.bounces = draft.bounces.with(index, 2 * rule.chatter.pairs);
    draft.bounceAt_s = draft.bounceAt_s.with(index, first_s);
  }
  return contactEvent(index, active, at_s);
}

const contactEvent = (index: number, active: boolean, at_s: number): FoundEvent => ({
  exact_s: at_s,
  event: {
    type: 'contact',
    at_s: told_s(at_s),
    contact: contactNames[index] ?? 'waterflow',
    state: active ? 'active' : 'restored',
  },
});

/** 10 to 200 ms, from integer arithmetic on the seed, so that a chatter is the same on every machine. */
function gap_s(seed: number, turnsLeft: number): number {
  const mixed = Math.imul(seed ^ Math.imul(turnsLeft, 0x9e3779b1), 0x85ebca6b) >>> 0;
  return (10 + (((mixed ^ (mixed >>> 15)) >>> 0) % 191)) / 1000;
}
