import { unreachable } from '@tidemark/kernel';
import type { ContactName, ContactState, SignalContent, SignalName } from '@tidemark/signals';
import { classOf } from '@tidemark/signals';
import { pushed, withLast } from './bounded.ts';
import { closeEpisode, emptyChronicle, inEpisode, openEpisode } from './episode.ts';
import type { RiserEvent } from './event.ts';
import { afterContact } from './occasions.ts';
import type { Mark, Picture, PointState } from './picture.ts';
import { altered, pictureLimits } from './picture.ts';
import { holdsService, keyed, placeSignal, unseenPoints, withPoint } from './points.ts';
import type { Profile } from './profile.ts';
import { performReset, restoredByReset } from './reset.ts';
import { openTest } from './service.ts';
import { acted, tellCommand } from './tell-command.ts';
import { beginTest, endTest } from './test-windows.ts';

/** What the story is made of: everything but the installing of a profile, repeats and the mere passing of time. */
export type StoryEvent = Extract<RiserEvent, { type: 'signal-received' | 'link-reported' | 'command-given' }>;

/** The picture of a riser that nothing was heard of. */
export const blankPicture = (profile: Profile): Picture => ({
  profile,
  points: unseenPoints(profile),
  active: [],
  readings: [],
  heard: undefined,
  heardBesidesTest: undefined,
  begun: undefined,
  link: { state: 'unknown', session: undefined, mark: undefined, returned: false },
  tests: [],
  impairments: [],
  episode: undefined,
  chronicle: emptyChronicle,
  lastReset: undefined,
  resetOwed: false,
  strangers: [],
  actions: [],
});

/** Tells the picture what happened next. Total: it takes every event in every picture and never throws. */
export function tell(before: Picture, event: StoryEvent, mark: Mark): Picture {
  const picture = runOn(before, mark.order_ms);
  const told = tellOne(picture, event, mark);
  return closeEpisode(told, mark);
}

/** Lets time pass up to a moment: test windows end by themselves, and with them perhaps the episode. */
export function runOn(picture: Picture, order_ms: number): Picture {
  const last = picture.tests.at(-1);
  if (last?.end !== undefined || last?.endsAt === undefined || last.endsAt > order_ms) return picture;
  const end: Mark = { order_ms: last.endsAt, receivedAt: last.endsAt, ref: last.begin.ref };
  return closeEpisode(altered(picture, { tests: withLast(picture.tests, (test) => ({ ...test, end })) }), end);
}

function tellOne(picture: Picture, event: StoryEvent, mark: Mark): Picture {
  switch (event.type) {
    case 'signal-received':
      return tellSignal(picture, event, mark);
    case 'link-reported':
      return altered(picture, {
        heard: event.link === 'up' ? mark : picture.heard,
        link: {
          state: event.link,
          session: event.session ?? picture.link.session,
          mark,
          returned: event.link === 'up' && picture.link.state === 'down',
        },
      });
    case 'command-given':
      return tellCommand(acted(picture, event, mark), event, mark);
    default:
      return unreachable(event);
  }
}

/** The sign of life is the receipt: a clock that stands wrong is heard all the same. */
const newest = (before: Mark | undefined, mark: Mark): Mark =>
  before !== undefined && before.receivedAt > mark.receivedAt ? before : mark;

function tellSignal(before: Picture, event: Extract<StoryEvent, { type: 'signal-received' }>, mark: Mark): Picture {
  const { content } = event;
  const { link } = before;
  const picture = altered(before, {
    begun: before.begun ?? mark,
    heard: newest(before.heard, mark),
    heardBesidesTest:
      content.kind === 'periodic-test' ? before.heardBesidesTest : newest(before.heardBesidesTest, mark),
    link: link.state === 'down' ? { ...link, state: 'up', mark, returned: true } : link,
  });
  const placed = placeSignal(picture.profile, content.name, event.point);
  if (!placed.found) return tellStranger(picture, { content, point: event.point, ...placed }, mark);
  switch (content.kind) {
    case 'contact':
      return tellContact(picture, { ...placed, name: content.name, state: content.state }, mark);
    case 'act':
      return content.name === 'reset' ? performReset(inEpisode(picture, mark), mark) : silenced(picture, mark);
    case 'reading': {
      const { name, si, value, unit } = content;
      const reading = { key: placed.key, name, si, value, unit, point: placed.point, mark };
      return altered(picture, { readings: keyed(picture.readings, reading) });
    }
    case 'periodic-test':
      return picture;
    default:
      return unreachable(content);
  }
}

interface StrangeSignal {
  readonly content: SignalContent;
  readonly point: number | undefined;
  readonly installed: SignalName | undefined;
  readonly ambiguous: boolean;
}

/**
 * A signal the profile has no such point for. It moves nothing that is installed, but an alarm or supervisory signal
 * stands all the same until it restores: a riser with an alarm on it is not in service because a list is wrong.
 */
function tellStranger(before: Picture, strange: StrangeSignal, mark: Mark): Picture {
  const { content, point, installed, ambiguous } = strange;
  const stranger = { mark, signal: content.name, point, installed, ambiguous };
  const picture = altered(before, { strangers: pushed(before.strangers, stranger, pictureLimits.strangers) });
  if (content.kind !== 'contact' || !holdsService(content.name)) return picture;
  const key = `stranger ${point ?? ''} ${content.name}`;
  const known = picture.points.find((each) => each.key === key);
  if (known === undefined && picture.points.length >= picture.profile.points.length + pictureLimits.strangers)
    return picture;
  const label = `${content.name.replaceAll('-', ' ')}${point === undefined ? '' : `, point ${point}`} (not in the profile)`;
  const said = { key, point, name: content.name, state: content.state };
  const { after, isChange } = contactSays(known ?? { ...panelPoint(said), point, label }, said, {
    mark,
    keep: picture.profile.limits.chattering.activations,
  });
  const pointed = altered(picture, withPoint(picture, after));
  const opened = said.state === 'active' ? openEpisode(pointed, said.name, mark) : inEpisode(pointed, mark);
  return oweReset(opened, said, { mark, isChange });
}

function silenced(before: Picture, mark: Mark): Picture {
  const picture = inEpisode(before, mark);
  const { episode } = picture;
  return episode === undefined || episode.end !== undefined
    ? picture
    : altered(picture, { episode: { ...episode, silences: pushed(episode.silences, mark, pictureLimits.silences) } });
}

interface ContactSaid {
  readonly key: string;
  readonly point: number | undefined;
  readonly name: ContactName;
  readonly state: ContactState;
}

function tellContact(picture: Picture, said: ContactSaid, mark: Mark): Picture {
  const before = picture.points.find(({ key }) => key === said.key) ?? panelPoint(said);
  const { after, isChange } = contactSays(before, said, { mark, keep: picture.profile.limits.chattering.activations });
  const pointed: Picture = altered(picture, withPoint(picture, after));
  const counted = inTest(pointed, said, mark);
  const opened = said.state === 'active' ? openEpisode(counted, said.name, mark) : inEpisode(counted, mark);
  const owed = oweReset(opened, said, { mark, isChange });
  return afterContact({ before: picture, after: owed }, { before, after }, mark);
}

interface Saying {
  readonly mark: Mark;
  /** Activations remembered. */
  readonly keep: number;
}

/** A point after a contact spoke; a restoral of what was never active changes nothing that anybody relies on. */
function contactSays(
  before: PointState,
  { state }: ContactSaid,
  { mark, keep }: Saying,
): { readonly after: PointState; readonly isChange: boolean } {
  const isChange = before.state !== state && !(before.state === 'never-seen' && state === 'restored');
  const activations = isChange && state === 'active' ? pushed(before.activations, mark, keep) : before.activations;
  const since = before.state === state ? before.since : mark;
  const { key, point, signal, label, releases } = before;
  return { after: { key, point, signal, label, releases, state, since, heard: mark, activations }, isChange };
}

const panelPoint = ({ key, name }: ContactSaid): PointState => ({
  key,
  point: undefined,
  signal: name,
  label: name.replaceAll('-', ' '),
  releases: false,
  state: 'never-seen',
  since: undefined,
  heard: undefined,
  activations: [],
});

/** A restoral that the last reset caused counts as before it; any other one of an alarm or supervisory point asks for a further reset. */
function oweReset(
  picture: Picture,
  said: ContactSaid,
  { mark, isChange }: { readonly mark: Mark; readonly isChange: boolean },
): Picture {
  if (!isChange) return picture;
  const alarms = classOf(said.name) === 'alarm' || said.name === 'solenoid';
  if (said.state === 'active') return alarms ? altered(picture, { resetOwed: true }) : picture;
  const alarmed = picture.episode?.end === undefined && picture.episode?.alarmed === true;
  if (!alarmed || !holdsService(said.name) || restoredByReset(picture, mark)) return picture;
  return altered(picture, { resetOwed: true });
}

/** Ticks off an expected signal, and follows the panel's own `test-mode`. */
function inTest(picture: Picture, said: ContactSaid, mark: Mark): Picture {
  if (said.name === 'test-mode')
    return said.state === 'active' ? panelTestBegins(picture, mark) : panelTestEnds(picture, mark);
  const open = openTest(picture, mark.order_ms);
  if (open === undefined || said.state !== 'active' || open.seen.has(said.name)) return picture;
  const seen = new Map(open.seen).set(said.name, mark);
  return altered(picture, { tests: picture.tests.map((test) => (test === open ? { ...test, seen } : test)) });
}

function panelTestBegins(picture: Picture, mark: Mark): Picture {
  if (openTest(picture, mark.order_ms) !== undefined) return picture;
  return beginTest(picture, {
    origin: 'panel',
    begin: mark,
    endsAt: undefined,
    expect: [],
    seen: new Map(),
    end: undefined,
  });
}

function panelTestEnds(picture: Picture, mark: Mark): Picture {
  const open = openTest(picture, mark.order_ms);
  return open?.origin === 'panel' ? endTest(picture, open, mark) : picture;
}
