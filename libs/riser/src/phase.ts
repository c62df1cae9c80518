import type { Phase } from '@tidemark/words';
import { isInitiating } from '@tidemark/signals';
import type { Episode, Mark, Picture, PointState } from './picture.ts';
import { activePoint, initiatingActive, pointKey } from './points.ts';
import { hasPoint } from './profile.ts';
import type { Profile } from './profile.ts';
import { inService, openImpairment, openTest } from './service.ts';

/** The phase at a moment of the story axis. Water reported comes first, then the release, then the way back. */
export function phaseOf(picture: Picture, order_ms: number): Phase {
  if (picture.begun === undefined) return 'unknown';
  if (inService(picture, order_ms)) return 'in-service';
  const episode = picture.episode?.end === undefined ? picture.episode : undefined;
  const flow = activePoint(picture, 'waterflow');
  if (flow !== undefined) return phaseOfFlow(picture, episode);
  if (episode !== undefined && hasTripped(picture, episode, order_ms))
    return phaseAfterTrip(picture, episode, order_ms);
  if (initiatingActive(picture) !== undefined) return 'alarm';
  if (episode !== undefined && episode.initiated.size > 0 && picture.resetOwed) return 'alarm';
  if (openTest(picture, order_ms) !== undefined) return 'alarm-test';
  if (openImpairment(picture) !== undefined) return 'impaired';
  if (activePoint(picture, 'panel-alarm') !== undefined) return 'alarm';
  if (picture.resetOwed && episode?.flows.at(-1)?.testWindow !== undefined) return 'alarm-test';
  return picture.resetOwed ? 'alarm' : 'impaired';
}

/** Flow in a test and without a release is the test's; flow that the closing of the valve overtook is being shut down. */
function phaseOfFlow(picture: Picture, episode: Episode | undefined): Phase {
  const flow = episode?.flows.at(-1);
  if (flow?.testWindow !== undefined && flow.release === undefined && activePoint(picture, 'solenoid') === undefined)
    return 'alarm-test';
  const closing = activePoint(picture, 'supply-valve');
  return closing !== undefined && flow?.supplyClosed === undefined ? 'shutting-down' : 'flowing';
}

/** The release acted in this episode, or water came other than by a test. */
function hasTripped(picture: Picture, episode: Episode, order_ms: number): boolean {
  if (episode.releases.length > 0 || inferredRelease(picture, order_ms) !== undefined) return true;
  return episode.flows.some(({ testWindow }) => testWindow === undefined);
}

/**
 * Where no point reports the release, an initiating alarm that releases stands for it: taken as done once the
 * release deadline has passed without a reset (CONTRACT 5.1).
 */
export function inferredRelease(picture: Picture, order_ms: number): Mark | undefined {
  const standing = standIn(picture);
  if (standing === undefined || standing.end !== undefined) return undefined;
  const { panel, limits } = picture.profile;
  const done_ms = (panel.releaseDelaySeconds + limits.releaseToleranceSeconds) * 1_000;
  return standing.begin.order_ms + done_ms <= order_ms ? standing.begin : undefined;
}

/** An alarm that stands for the release, and the reset that ended it. */
export interface StandIn {
  readonly begin: Mark;
  readonly end: Mark | undefined;
}

/**
 * The last alarm that stands for the release of a riser whose release no point reports: since the last reset that was
 * not early, or else before it. An alarm while the release is disconnected stands for none (CONTRACT 5.1: an alarm that
 * releases), until the release is connected again on it.
 */
export function standIn(picture: Picture): StandIn | undefined {
  const { episode, profile } = picture;
  if (episode === undefined || episode.end !== undefined || hasPoint(profile, 'solenoid')) return undefined;
  const good = episode.resets.filter(({ early }) => early.length === 0).map(({ mark }) => mark);
  let last: StandIn | undefined;
  for (const [key, mark] of episode.initiated) {
    const begin = pointReleases(profile, key) ? actsFrom(picture, key, mark) : undefined;
    if (begin === undefined) continue;
    const end = good.find(({ order_ms }) => order_ms > begin.order_ms);
    if (last === undefined || isLater({ begin, end }, last)) last = { begin, end };
  }
  return last;
}

/** Of two that the same reset ended, or none did, the earlier one began the release; else the later one counts. */
function isLater(one: StandIn, other: StandIn): boolean {
  if (one.end === other.end) return one.begin.order_ms < other.begin.order_ms;
  return (one.end?.order_ms ?? Infinity) > (other.end?.order_ms ?? Infinity);
}

/** When an alarm could act on the release: at once, or when the release was connected again while it still stood. */
function actsFrom({ points }: Picture, key: string, alarm: Mark): Mark | undefined {
  const off = points.find(({ signal }) => signal === 'release-disconnect');
  if (off === undefined || off.activations.length === 0) return alarm;
  const disconnected = off.activations.some(({ order_ms }) => order_ms <= alarm.order_ms);
  if (off.state === 'active') return disconnected && isOffSince(off, alarm) ? undefined : alarm;
  const connected = off.since;
  if (!disconnected || connected === undefined || connected.order_ms <= alarm.order_ms) return alarm;
  const device = points.find((point) => point.key === key);
  const stood = device?.state === 'active' || (device?.since?.order_ms ?? -Infinity) > connected.order_ms;
  return stood ? connected : undefined;
}

const isOffSince = ({ since }: PointState, alarm: Mark): boolean =>
  since !== undefined && since.order_ms <= alarm.order_ms;

const pointReleases = ({ points }: Profile, key: string): boolean =>
  points.some(({ signal, point, releases }) => releases && isInitiating(signal) && pointKey(signal, point) === key);

/** The first initiating alarm, by a point that releases, since the last reset that was not early. */
export function releasingAlarm(picture: Picture): Mark | undefined {
  const { episode } = picture;
  if (episode === undefined || episode.end !== undefined) return undefined;
  const lastGood = episode.resets.findLast(({ early }) => early.length === 0);
  let first: Mark | undefined;
  for (const [key, mark] of episode.initiated) {
    if (!pointReleases(picture.profile, key)) continue;
    if (mark.order_ms > (lastGood?.mark.order_ms ?? -Infinity) && mark.order_ms < (first?.order_ms ?? Infinity))
      first = mark;
  }
  return first;
}

function phaseAfterTrip(picture: Picture, episode: Episode, order_ms: number): Phase {
  const begun = episode.releases.at(-1)?.begin.order_ms ?? inferredRelease(picture, order_ms)?.order_ms ?? -Infinity;
  const flowed = episode.flows.at(-1)?.begin.order_ms ?? -Infinity;
  const reset = episode.resets.at(-1)?.mark.order_ms ?? -Infinity;
  const releaseActive = activePoint(picture, 'solenoid') !== undefined;
  if (reset < Math.max(begun, flowed)) return flowed >= begun ? 'drained' : 'released';
  if (releaseActive) return 'resetting';
  if (activePoint(picture, 'prime-pressure-low') !== undefined) return 'priming';
  return 'reopening';
}
