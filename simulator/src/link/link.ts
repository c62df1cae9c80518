import { formatInstant, instant, invariant } from '@tidemark/kernel';
import type { SignalEvent } from '@tidemark/signals';
import type { Delivery, LinkMessage, Said } from './delivery.ts';
import { checkTrouble, holding, holds } from './holds.ts';
import { defaultLink, runOf } from './link-setup.ts';
import type { LinkSetup } from './link-setup.ts';
import type { PanelLink } from './link-state.ts';
import { panelClock } from './panel-clock.ts';
import { dispatched, inPlace, messaged } from './transport.ts';
import type { Carried } from './transport.ts';
import type { LinkTrouble } from './trouble.ts';
import { withhold } from './withhold.ts';

/** A link, and what arrived. */
export interface Received {
  readonly link: PanelLink;
  /** In order of receipt. */
  readonly deliveries: readonly Delivery[];
}

/** A burst of stored signals is sent so far apart: twenty a second (choice of this project). */
const burst_s = 0.05;

/** A link whose story begins at `at_s`; the panel announces itself unless it is told not to. */
export function createLink(
  setup: Pick<LinkSetup, 'key' | 'begin'> & Partial<LinkSetup>,
  { at_s = 0, troubles = [] }: { readonly at_s?: number; readonly troubles?: readonly LinkTrouble[] } = {},
): PanelLink {
  troubles.forEach(checkTrouble);
  const link: PanelLink = {
    setup: { ...defaultLink, ...setup },
    troubles,
    now_s: at_s,
    sent: 0,
    sequence: 0,
    session: 0,
    connected: false,
    restarting: false,
    lastArrival_s: at_s,
    flying: [],
    stored: [],
    histories: new Map(),
  };
  if (!link.setup.announces) return { ...link, connected: true, session: 1 };
  return pathGone(link, at_s) ? link : announced(link, at_s);
}

/** Says one thing at a moment not before anything already said or asked for. */
export function say(before: PanelLink, said: Said): Carried {
  const link = reached(before, said.at_s);
  const { histories, withheld } = withhold(link.histories, said, link.troubles);
  if (withheld) return { link: { ...link, histories }, fate: 'withheld' };
  const next = said.numberAgain === true ? 0 : 1;
  const numbered = { ...link, histories, sent: link.sent + 1, sequence: link.sequence + next };
  return dispatched(numbered, { event: eventOf(numbered, said), sent_s: said.at_s, number: numbered.sent });
}

/** Everything that arrives up to and including a moment and was not handed out before. */
export function receive(before: PanelLink, until_s: number): Received {
  const link = reached(before, until_s);
  const deliveries = link.flying
    .filter(({ received_s }) => received_s <= until_s)
    .toSorted((one, other) => one.received_s - other.received_s);
  return { link: { ...link, flying: link.flying.filter(({ received_s }) => received_s > until_s) }, deliveries };
}

/** When the next message arrives, if nothing more is said or mended; undefined when none is on its way. */
export function nextArrival_s(link: PanelLink): number | undefined {
  const last_s = Math.max(link.now_s, ...edges(link.troubles, link.setup.willAfter_s));
  const arrivals_s = reached(link, last_s).flying.map(({ received_s }) => received_s);
  return arrivals_s.length === 0 ? undefined : Math.min(...arrivals_s);
}

/** Adds a trouble that begins now or later, in the place of one of the same id that is over or still to come. */
export function troubleLink(link: PanelLink, trouble: LinkTrouble): PanelLink {
  checkTrouble(trouble);
  invariant(trouble.from_s >= link.now_s, 'a trouble does not begin in the past');
  const known = link.troubles.find(({ id }) => id === trouble.id);
  invariant(known === undefined || !holds(known, link.now_s), 'a trouble is mended before it comes again');
  return { ...link, troubles: [...link.troubles.filter(({ id }) => id !== trouble.id), trouble] };
}

/** Ends a trouble that holds at a moment. */
export function mendLink(before: PanelLink, id: string, at_s: number): PanelLink {
  const link = reached(before, at_s);
  const ended = link.troubles.find((trouble) => trouble.id === id && holds(trouble, at_s));
  if (ended === undefined) return link;
  const others = link.troubles.filter((trouble) => trouble !== ended);
  return atEdge({ ...link, troubles: [...others, { ...ended, until_s: at_s }] }, at_s);
}

/** The panel lost all power, or starts anew: a path that is gone, and a new session. */
export const powerLink = (link: PanelLink, at_s: number, running: boolean): PanelLink =>
  running
    ? mendLink(link, panelPower, at_s)
    : troubleLink(link, { id: panelPower, kind: 'outage', meanwhile: 'dropped', restart: true, from_s: at_s });

const panelPower = 'panel-power';

/** Whether no message passes at a moment. */
const pathGone = ({ troubles }: PanelLink, at_s: number): boolean => holding(troubles, 'outage', at_s).length > 0;

/** Every moment at which time alone changes the link: an outage is noticed, an outage is over. */
function edges(troubles: readonly LinkTrouble[], willAfter_s: number): readonly number[] {
  const moments_s = troubles.flatMap((trouble) => {
    if (trouble.kind !== 'outage') return [];
    const { from_s, until_s = Infinity } = trouble;
    return [from_s, from_s + willAfter_s, until_s].filter((at_s) => at_s <= until_s && at_s < Infinity);
  });
  return [...new Set(moments_s)].sort((one, other) => one - other);
}

/** The link at a later moment, with everything that time alone brought until then. */
function reached(before: PanelLink, at_s: number): PanelLink {
  invariant(at_s >= before.now_s, 'a link only goes forward');
  let link = before;
  for (const edge_s of edges(link.troubles, link.setup.willAfter_s))
    if (edge_s > before.now_s && edge_s <= at_s) link = atEdge(link, edge_s);
  return { ...link, now_s: at_s };
}

function atEdge(link: PanelLink, at_s: number): PanelLink {
  const restarting =
    link.restarting ||
    link.troubles.some(
      (trouble) =>
        trouble.kind === 'outage' && trouble.restart && trouble.until_s === at_s && trouble.from_s < trouble.until_s,
    );
  const outages = holding(link.troubles, 'outage', at_s);
  if (outages.length === 0) return backAgain({ ...link, restarting }, at_s);
  const noticed = link.connected && outages.some(({ from_s }) => from_s + link.setup.willAfter_s <= at_s);
  if (!noticed) return { ...link, restarting };
  const will: LinkMessage = { link: 'down', session: sessionOf(link) };
  return messaged({ ...link, restarting, connected: false }, at_s, will);
}

/** Where the path is back: a new session if the old one was given up, and then what was stored, in a burst. */
function backAgain(link: PanelLink, at_s: number): PanelLink {
  const there = link.connected && !link.restarting ? link : announced(link, at_s);
  return there.stored.reduce<PanelLink>(
    (now, message, index) => inPlace(now, { ...message, leaves_s: at_s + index * burst_s }),
    {
      ...there,
      stored: [],
    },
  );
}

function announced(before: PanelLink, at_s: number): PanelLink {
  const link = {
    ...before,
    connected: true,
    restarting: false,
    session: before.session + 1,
    sequence: before.restarting ? 0 : before.sequence,
  };
  const time = panelClock(link.setup.begin, link.troubles, at_s);
  return messaged(link, at_s, { link: 'up', session: sessionOf(link), time });
}

const sessionOf = ({ session, setup }: PanelLink): string => `${runOf(setup)}-${session}`;

function eventOf({ sent, sequence, setup, troubles }: PanelLink, { at_s, clockAhead_s = 0, data }: Said): SignalEvent {
  const clock = panelClock(setup.begin, troubles, at_s);
  return {
    specversion: '1.0',
    id: `${runOf(setup)}-${sent}`,
    source: `/${setup.key.account}/${setup.panel}`,
    type: 'riser.signal.v1',
    subject: setup.key.riser,
    time: formatInstant(instant(clock + 1_000 * clockAhead_s)),
    ...(setup.numbered ? { sequence: String(sequence).padStart(sequence_digits, '0') } : {}),
    data,
  };
}

/** Zero-padded, since CloudEvents orders sequences as text (FACTS 7.23). */
const sequence_digits = 10;
