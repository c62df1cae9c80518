import type { ContactName, SignalName } from '@tidemark/signals';
import { classOf, isInitiating } from '@tidemark/signals';
import type { Picture, PointState } from './picture.ts';
import type { Profile } from './profile.ts';
import { labelOf } from './profile.ts';

/** How a point is named among the points of a picture: its number, or for the panel's own signals their name. */
export const pointKey = (signal: SignalName, point: number | undefined): string =>
  needsPoint(signal) ? `${point ?? ''}` : signal;

/** Signals of the panel and trouble classes need no point in the profile. */
export const needsPoint = (signal: SignalName): boolean => {
  const signalClass = classOf(signal);
  return signalClass !== 'panel' && signalClass !== 'trouble';
};

const readingNames = new Set<SignalName>(['prime-pressure', 'supply-pressure', 'system-pressure', 'flow']);

/** The points of a profile before anything was heard. */
export function unseenPoints(profile: Profile): ReadonlyMap<string, PointState> {
  const points = new Map<string, PointState>();
  for (const point of profile.points) {
    if (readingNames.has(point.signal) || !needsPoint(point.signal)) continue;
    points.set(pointKey(point.signal, point.point), {
      point: point.point,
      signal: point.signal as ContactName,
      label: labelOf(point),
      releases: point.releases,
      state: 'never-seen',
      since: undefined,
      heard: undefined,
      activations: [],
    });
  }
  return points;
}

/** What a signal's point is, or why it is a stranger. */
export type Placed =
  | { readonly found: true; readonly key: string; readonly point: number | undefined }
  | { readonly found: false; readonly installed: SignalName | undefined; readonly ambiguous: boolean };

/** Finds the point a signal speaks for. A number may be left out when the profile has one point of that signal. */
export function placeSignal(profile: Profile, signal: SignalName, point: number | undefined): Placed {
  if (!needsPoint(signal)) return { found: true, key: signal, point: undefined };
  if (point === undefined) {
    const candidates = profile.points.filter((each) => each.signal === signal);
    const only = candidates.length === 1 ? candidates[0] : undefined;
    return only === undefined
      ? { found: false, installed: undefined, ambiguous: candidates.length > 1 }
      : { found: true, key: pointKey(signal, only.point), point: only.point };
  }
  const installed = profile.points.find((each) => each.point === point);
  return installed?.signal === signal
    ? { found: true, key: pointKey(signal, point), point }
    : { found: false, installed: installed?.signal, ambiguous: false };
}

/** The earliest still-active point of a kind, with when it became active. */
export function firstActive(picture: Picture, accept: (point: PointState) => boolean): PointState | undefined {
  let first: PointState | undefined;
  for (const point of picture.points.values())
    if (point.state === 'active' && accept(point) && (first === undefined || since(point) < since(first)))
      first = point;
  return first;
}

const since = (point: PointState): number => point.since?.order_ms ?? 0;

/** The active point of a signal, if any. */
export function activePoint(picture: Picture, signal: ContactName): PointState | undefined {
  for (const point of picture.points.values()) if (point.signal === signal && point.state === 'active') return point;
  return undefined;
}

/** Every active point that the predicate takes. */
export const activePoints = (picture: Picture, accept: (point: PointState) => boolean): readonly PointState[] =>
  [...picture.points.values()].filter((point) => point.state === 'active' && accept(point));

/** An initiating device in alarm. */
export const initiatingActive = (picture: Picture): PointState | undefined =>
  firstActive(picture, ({ signal }) => isInitiating(signal));

/** Whether the point's class is alarm or supervisory: what must be gone before a reset can be the last. */
export const holdsService = (signal: ContactName): boolean => {
  const signalClass = classOf(signal);
  return signalClass === 'alarm' || signalClass === 'supervisory';
};
