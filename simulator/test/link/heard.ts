import { instant } from '@tidemark/kernel';
import type { SignalData } from '@tidemark/signals';
import { createLink, receive, say } from '../../src/index.ts';
import type { Delivery, Fate, LinkSetup, LinkTrouble, PanelLink, Said } from '../../src/index.ts';

/** A Monday morning. */
export const begin = instant(Date.UTC(2026, 2, 2, 8));

/** A panel of the demo site whose messages take 0.2 s. */
export const plain = {
  key: { account: 'quayside-cold-store', riser: 'deluge-1' },
  begin,
  panel: 'panel-2',
  latency: { base_s: 0.2, spread_s: 0 },
} as const satisfies Partial<LinkSetup>;

/** A contact that turned. */
export const turned = (at_s: number, signal: 'waterflow' | 'heat' | 'manual-pull', active = true): Said => {
  const data: SignalData = { signal, state: active ? 'active' : 'restored', point: signal === 'waterflow' ? 3 : 2 };
  return { at_s, data };
};

/** Alarms of the waterflow switch, one a second from 10 s on, restored half a second later. */
export const series = (count: number): readonly Said[] =>
  Array.from({ length: count }, (_, index) => [
    turned(10 + index, 'waterflow'),
    turned(10.5 + index, 'waterflow', false),
  ]).flat();

/** What was said with what became of it, and everything that arrived. */
export interface Heard {
  readonly link: PanelLink;
  readonly fates: readonly Fate[];
  readonly deliveries: readonly Delivery[];
}

/** Says it all, in its order, and receives until the end; looks in between at the moments given. */
export function hear(
  said: readonly Said[],
  troubles: readonly LinkTrouble[] = [],
  { setup = {}, looks = [], until_s = 10_000 }: Partial<Hearing> = {},
): Heard {
  let link = createLink({ ...plain, ...setup }, { troubles });
  const fates: Fate[] = [];
  const deliveries: Delivery[] = [];
  const look = (at_s: number): void => {
    const received = receive(link, at_s);
    link = received.link;
    deliveries.push(...received.deliveries);
  };
  for (const each of said) {
    for (const at_s of looks) if (at_s >= link.now_s && at_s <= each.at_s) look(at_s);
    const carried = say(link, each);
    link = carried.link;
    fates.push(carried.fate);
  }
  for (const at_s of looks) if (at_s >= link.now_s && at_s < until_s) look(at_s);
  look(until_s);
  return { link, fates, deliveries };
}

/** How to hear. */
export interface Hearing {
  readonly setup: Partial<LinkSetup>;
  readonly looks: readonly number[];
  readonly until_s: number;
}

/** The signals among deliveries. */
export const signalsOf = (deliveries: readonly Delivery[]) =>
  deliveries.filter((delivery) => delivery.topic === 'signal');

/** A delivery in short: what it is, when it was sent, when it arrived. */
export function inShort(delivery: Delivery): string {
  const times = `${delivery.sent_s} > ${delivery.received_s}`;
  if (delivery.topic === 'link') return `${delivery.message.link} ${times}`;
  const { data, sequence } = delivery.event;
  const state = 'state' in data ? data.state : '';
  return `${delivery.repeat ? 'again ' : ''}${Number(sequence)} ${data.signal} ${state} ${times}`;
}
