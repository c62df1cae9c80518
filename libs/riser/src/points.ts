import type { ContactName, SignalName } from '@tidemark/signals';
import { classOf, isInitiating, isReading } from '@tidemark/signals';
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

/** The points of a profile before anything was heard. */
export const unseenPoints = (profile: Profile): readonly PointState[] =>
  profile.points
    .filter(({ signal }) => !isReading(signal) && needsPoint(signal))
    .map((point) => ({
      key: pointKey(point.signal, point.point),
      point: point.point,
      signal: point.signal as ContactName,
      label: labelOf(point),
      releases: point.releases,
      state: 'never-seen',
      since: undefined,
      heard: undefined,
      activations: [],
    }));

/** What of a picture changes when a point said something: the point takes its place, or a new one comes last. */
export function withPoint({ points, active }: Picture, after: PointState): Pick<Picture, 'points' | 'active'> {
  const next = keyed(points, after);
  const changes = after.state === 'active' || active.some(({ key }) => key === after.key);
  return { points: next, active: changes ? next.filter(isActive) : active };
}

const isActive = ({ state }: PointState): boolean => state === 'active';

/** Replaces the member of the same key, or adds one. */
export function keyed<Item extends { readonly key: string }>(list: readonly Item[], item: Item): readonly Item[] {
  const at = list.findIndex(({ key }) => key === item.key);
  return at === -1 ? list.concat([item]) : list.with(at, item);
}

/** What a signal's point is, or why it is a stranger. */
export type Placed =
  | { readonly found: true; readonly key: string; readonly point: number | undefined }
  | { readonly found: false; readonly installed: SignalName | undefined; readonly ambiguous: boolean };

/** Finds the point a signal speaks for. A number may be left out when the profile has one point of that signal. */
export function placeSignal(profile: Profile, signal: SignalName, point: number | undefined): Placed {
  if (!needsPoint(signal)) return { found: true, key: signal, point: undefined };
  if (point === undefined) {
    const first = profile.points.findIndex((each) => each.signal === signal);
    const only = profile.points[first];
    if (only === undefined) return { found: false, installed: undefined, ambiguous: false };
    return profile.points.some((each, index) => index > first && each.signal === signal)
      ? { found: false, installed: undefined, ambiguous: true }
      : { found: true, key: pointKey(signal, only.point), point: only.point };
  }
  const installed = profile.points.find((each) => each.point === point);
  return installed?.signal === signal
    ? { found: true, key: pointKey(signal, point), point }
    : { found: false, installed: installed?.signal, ambiguous: false };
}

/** The earliest still-active point of a kind, with when it became active. */
export function firstActive({ active }: Picture, accept: (point: PointState) => boolean): PointState | undefined {
  let first: PointState | undefined;
  for (const point of active) if (accept(point) && (first === undefined || since(point) < since(first))) first = point;
  return first;
}

const since = (point: PointState): number => point.since?.order_ms ?? 0;

/** The active point of a signal, if any; the first of several. */
export const activePoint = ({ active }: Picture, signal: ContactName): PointState | undefined =>
  active.find((point) => point.signal === signal);

/** Every active point that the predicate takes. */
export const activePoints = ({ active }: Picture, accept: (point: PointState) => boolean): readonly PointState[] =>
  active.filter(accept);

/** An initiating device in alarm. */
export const initiatingActive = (picture: Picture): PointState | undefined =>
  firstActive(picture, ({ signal }) => isInitiating(signal));

/** Whether the point's class is alarm or supervisory: what must be gone before a reset can be the last. */
export const holdsService = (signal: ContactName): boolean => {
  const signalClass = classOf(signal);
  return signalClass === 'alarm' || signalClass === 'supervisory';
};
