import { invariant, seededRandom } from '@tidemark/kernel';
import { told_s } from '../plant/event.ts';
import type { Delivery, Fate, LinkMessage } from './delivery.ts';
import { holding, strikes } from './holds.ts';
import type { PanelLink, Sent } from './link-state.ts';
import type { Which } from './trouble.ts';

/** A link, and what became of what was said. */
export interface Carried {
  readonly link: PanelLink;
  readonly fate: Fate;
}

/** A numbered signal takes its way, or meets a trouble on it. */
export function dispatched(link: PanelLink, message: Sent): Carried {
  const { sent_s } = message;
  const outages = holding(link.troubles, 'outage', sent_s);
  if (outages.length > 0) {
    const kept = outages.every(({ meanwhile }) => meanwhile === 'stored');
    if (!kept || link.stored.length >= link.setup.storeLimit) return { link, fate: 'dropped' };
    return { link: { ...link, stored: [...link.stored, message] }, fate: 'stored' };
  }
  if (struck(holding(link.troubles, 'drop', sent_s), message, link).length > 0) return { link, fate: 'dropped' };
  const held_s = struck(holding(link.troubles, 'reorder', sent_s), message, link).reduce(
    (sum_s, { by_s }) => sum_s + by_s,
    0,
  );
  const carried = held_s > 0 ? outOfPlace(link, message, held_s) : inPlace(link, { ...message, leaves_s: sent_s });
  const copies = struck(holding(link.troubles, 'duplicate', sent_s), message, link).flatMap(
    ({ after_s, copies: count = 1 }) => Array.from({ length: count }, (_, copy) => after_s * (copy + 1)),
  );
  const first = carried.flying.at(-1);
  invariant(first?.topic === 'signal', 'what was just sent flies last');
  const again = copies.map((later_s) => ({ ...first, received_s: told_s(first.received_s + later_s), repeat: true }));
  return { link: { ...carried, flying: [...carried.flying, ...again] }, fate: 'sent' };
}

/** The troubles of a kind that strike a message. */
const struck = <Trouble extends { readonly id: string; readonly which: Which }>(
  troubles: readonly Trouble[],
  { number }: Sent,
  { setup }: PanelLink,
): readonly Trouble[] =>
  troubles.filter(({ id, which }) => strikes(which, number, seededRandom(setup.seed).fork(`${id}/${number}`)));

/** Sends a signal behind everything sent before. */
export function inPlace(
  link: PanelLink,
  { event, leaves_s, number, sent_s }: Sent & { readonly leaves_s: number },
): PanelLink {
  const received_s = arrival_s(link, leaves_s, `${number}`);
  const delivery: Delivery = { sent_s, received_s, topic: 'signal', event, repeat: false };
  return { ...link, lastArrival_s: received_s, flying: [...link.flying, delivery] };
}

/** Sent, and overtaken by what is sent within so long. */
function outOfPlace(link: PanelLink, { event, number, sent_s }: Sent, held_s: number): PanelLink {
  const received_s = told_s(arrival_s(link, sent_s, `${number}`) + held_s);
  return { ...link, flying: [...link.flying, { sent_s, received_s, topic: 'signal', event, repeat: false }] };
}

/** When a message that leaves at a moment arrives, not before the one ahead of it. */
function arrival_s({ lastArrival_s, setup, troubles }: PanelLink, leaves_s: number, name: string): number {
  const { latency, seed } = setup;
  const random = seededRandom(seed);
  const usual_s = latency.base_s + latency.spread_s * random.fork(`latency/${name}`).next();
  const more_s = holding(troubles, 'delay', leaves_s).reduce(
    (sum_s, { by_s, id, spread_s = 0 }) => sum_s + by_s + spread_s * random.fork(`${id}/${name}`).next(),
    0,
  );
  return told_s(Math.max(lastArrival_s, leaves_s + usual_s + more_s));
}

/** Sends a link message behind everything sent before. */
export function messaged(link: PanelLink, at_s: number, message: LinkMessage): PanelLink {
  const received_s = arrival_s(link, at_s, `${message.link}/${link.session}`);
  const delivery: Delivery = { sent_s: at_s, received_s, topic: 'link', message };
  return { ...link, lastArrival_s: received_s, flying: [...link.flying, delivery] };
}
