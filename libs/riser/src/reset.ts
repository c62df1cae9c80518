import { classOf, isInitiating } from '@tidemark/signals';
import { pushed, withLast } from './bounded.ts';
import type { Episode, Mark, Picture, PointState, Reset } from './picture.ts';
import { altered, pictureLimits } from './picture.ts';
import { activePoint, activePoints, firstActive } from './points.ts';

/** Alarm points proper: initiating devices and the waterflow switch. */
const isAlarmPoint = ({ signal }: PointState): boolean => classOf(signal) === 'alarm';

/** A panel reset: what it finds is a fact of the story, judged later. Outside an episode it only is the last one. */
export function performReset(picture: Picture, mark: Mark): Picture {
  const { profile } = picture;
  const episode = picture.episode?.end === undefined ? picture.episode : undefined;
  const standing = activePoints(picture, isAlarmPoint);
  const early = profile.panel.restorals === 'contact' ? standing.map(({ since }) => since?.ref ?? mark.ref) : [];
  const reset: Reset = {
    mark,
    early,
    supplyClosed: activePoint(picture, 'supply-valve')?.since,
    primeLow: activePoint(picture, 'prime-pressure-low')?.since,
    releaseActive: activePoint(picture, 'solenoid') !== undefined,
    tripped: episode !== undefined && tripped(episode),
    initiated: [...(episode?.initiated.keys() ?? [])],
  };
  if (episode === undefined) return altered(picture, { lastReset: reset });
  const good = early.length === 0;
  return altered(picture, {
    lastReset: reset,
    resetOwed: false,
    episode: {
      ...episode,
      resets: pushed(episode.resets, reset, pictureLimits.resets),
      firstGoodReset: episode.firstGoodReset ?? (good ? reset : undefined),
    },
  });
}

const tripped = ({ releases, flows }: Episode): boolean =>
  releases.length > 0 || flows.some(({ testWindow }) => testWindow === undefined);

/** The last reset, when the moment is still within the time in which the panel announces anew what it finds. */
export function settlingReset(picture: Picture, mark: Mark): Reset | undefined {
  const last = picture.lastReset;
  if (last === undefined) return undefined;
  const since_ms = mark.order_ms - last.mark.order_ms;
  return since_ms >= 0 && since_ms <= picture.profile.panel.resetSettleSeconds * 1_000 ? last : undefined;
}

/** Whether a restoral at this moment is the last reset's doing. */
export const restoredByReset = (picture: Picture, mark: Mark): boolean => settlingReset(picture, mark) !== undefined;

/**
 * Where alarms restore only with a reset, a point announced active again within the settling time had not
 * restored: the reset was early, and that is known only now.
 */
export function announcedAgain(picture: Picture, point: PointState, mark: Mark): Picture {
  const { episode, profile } = picture;
  if (episode === undefined || profile.panel.restorals !== 'reset' || !isAlarmPoint(point)) return picture;
  if (settlingReset(picture, mark) === undefined || episode.resets.length === 0) return picture;
  const resets = withLast(episode.resets, (reset) => ({
    ...reset,
    early: [...reset.early, mark.ref].slice(0, pictureLimits.initiated),
  }));
  const last = resets.at(-1);
  const wasFirst = last !== undefined && episode.firstGoodReset?.mark === last.mark;
  return altered(picture, {
    resetOwed: true,
    lastReset: last,
    episode: { ...episode, resets, firstGoodReset: wasFirst ? undefined : episode.firstGoodReset },
  });
}

/** The latest initiating alarm since the last reset that was not early: a panel latches it, so its contact may have restored. */
export function latchedAlarm(picture: Picture): Mark | undefined {
  const active = firstActive(picture, ({ signal }) => isInitiating(signal))?.since;
  if (active !== undefined) return active;
  const { episode } = picture;
  if (episode === undefined || episode.end !== undefined) return undefined;
  const lastGood = episode.resets.findLast(({ early }) => early.length === 0);
  let latest: Mark | undefined;
  for (const mark of episode.initiated.values())
    if (mark.order_ms > (lastGood?.mark.order_ms ?? -Infinity) && mark.order_ms > (latest?.order_ms ?? -Infinity))
      latest = mark;
  return latest;
}
