import { isInitiating } from '@tidemark/signals';
import { pushed, withLast } from './bounded.ts';
import type { Closing, Episode, Flow, Mark, Picture, PointState, Release } from './picture.ts';
import { altered, pictureLimits } from './picture.ts';
import { activePoint } from './points.ts';
import { announcedAgain, latchedAlarm } from './reset.ts';
import { openTest } from './service.ts';

interface Step<Value> {
  readonly before: Value;
  readonly after: Value;
}

/** Opens and closes the occasions that a contact begins or ends: releases, waterflows, closings of the supply valve. */
export function afterContact(pictures: Step<Picture>, point: Step<PointState>, mark: Mark): Picture {
  const { after: picture } = pictures;
  if (picture.episode === undefined || picture.episode.end !== undefined) return picture;
  const began = point.after.state === 'active' && point.before.state !== 'active';
  const again = point.after.state === 'active' && point.before.state === 'active';
  const told = again ? announcedAgain(picture, point.after, mark) : picture;
  if (began && isInitiating(point.after.signal)) return initiated(told, point.after, mark);
  switch (point.after.signal) {
    case 'solenoid':
      return began
        ? releaseBegins(told, mark)
        : endOf(told, point, (episode) => ({ releases: ended(episode.releases, mark) }));
    case 'waterflow':
      return began
        ? flowBegins(pictures.before, told, mark)
        : endOf(told, point, (episode) =>
            activePoint(told, 'waterflow') === undefined ? { flows: ended(episode.flows, mark) } : {},
          );
    case 'supply-valve':
      return began
        ? closingBegins(pictures.before, told, mark)
        : endOf(told, point, (episode) =>
            activePoint(told, 'supply-valve') === undefined ? { closings: ended(episode.closings, mark) } : {},
          );
    case 'prime-pressure-low':
      return began || point.before.state !== 'active' ? told : endOf(told, point, () => ({ primeBack: mark }));
    default:
      return told;
  }
}

function endOf(picture: Picture, point: Step<PointState>, change: (episode: Episode) => Partial<Episode>): Picture {
  const { episode } = picture;
  return episode === undefined || point.after.state === 'active'
    ? picture
    : altered(picture, { episode: { ...episode, ...change(episode) } });
}

const ended = <Occasion extends { readonly end: Mark | undefined }>(
  list: readonly Occasion[],
  mark: Mark,
): readonly Occasion[] => withLast(list, (last) => (last.end === undefined ? { ...last, end: mark } : last));

const inOpen = (picture: Picture, change: (episode: Episode) => Partial<Episode>): Picture =>
  picture.episode === undefined
    ? picture
    : altered(picture, { episode: { ...picture.episode, ...change(picture.episode) } });

function initiated(picture: Picture, point: PointState, mark: Mark): Picture {
  return inOpen(picture, (episode) => {
    const map = new Map(episode.initiated);
    if (map.size < pictureLimits.initiated || map.has(keyOf(point))) map.set(keyOf(point), mark);
    return { alarmed: true, initiated: map };
  });
}

const keyOf = ({ point, signal }: PointState): string => `${point ?? signal}`;

function releaseBegins(picture: Picture, mark: Mark): Picture {
  const release: Release = {
    begin: mark,
    end: undefined,
    alarm: latchedAlarm(picture),
    supplyClosed: activePoint(picture, 'supply-valve')?.since,
    flowAlready: activePoint(picture, 'waterflow') !== undefined,
    reset: picture.episode?.resets.at(-1),
  };
  return inOpen(picture, (episode) => ({
    alarmed: true,
    releases: pushed(episode.releases, release, pictureLimits.releases),
  }));
}

/**
 * The release that acted since the last reset that was not early; water may follow it however late. Once a reset of any
 * kind has put it to rest and its water has stopped, water that comes again is a new trip.
 */
export function standingRelease(picture: Picture): Mark | undefined {
  const { episode } = picture;
  const last = episode?.releases.at(-1);
  if (episode === undefined || last === undefined) return undefined;
  if (last.end === undefined) return last.begin;
  const { begin } = last;
  const since = episode.resets.filter(({ mark }) => mark.order_ms >= begin.order_ms);
  if (since.some(({ early }) => early.length === 0)) return undefined;
  const stopped = episode.flows.some((flow) => flow.begin.order_ms >= begin.order_ms && flow.end !== undefined);
  return since.length > 0 && stopped ? undefined : begin;
}

function flowBegins(before: Picture, picture: Picture, mark: Mark): Picture {
  if (activePoint(before, 'waterflow') !== undefined) return picture;
  const flow: Flow = {
    begin: mark,
    end: undefined,
    supplyClosed: activePoint(picture, 'supply-valve')?.since,
    testWindow: openTest(picture, mark.order_ms),
    release: standingRelease(picture),
    primeLow: activePoint(picture, 'prime-pressure-low')?.since,
    reset: picture.episode?.resets.at(-1),
  };
  return inOpen(picture, (episode) => ({ alarmed: true, flows: pushed(episode.flows, flow, pictureLimits.flows) }));
}

function closingBegins(before: Picture, picture: Picture, mark: Mark): Picture {
  if (activePoint(before, 'supply-valve') !== undefined) return picture;
  const closing: Closing = { begin: mark, end: undefined, duringFlow: activePoint(picture, 'waterflow') !== undefined };
  return inOpen(picture, (episode) => ({ closings: pushed(episode.closings, closing, pictureLimits.closings) }));
}
