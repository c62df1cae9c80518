import type { Phase } from '@tidemark/words';
import type { Episode, Mark, Picture } from './picture.ts';
import { activePoint, initiatingActive } from './points.ts';
import { hasPoint } from './profile.ts';
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
  if (hasPoint(picture.profile, 'solenoid')) return undefined;
  const alarm = releasingAlarm(picture);
  if (alarm === undefined) return undefined;
  const { panel, limits } = picture.profile;
  const done_ms = (panel.releaseDelaySeconds + limits.releaseToleranceSeconds) * 1_000;
  return alarm.order_ms + done_ms <= order_ms ? alarm : undefined;
}

const pointReleases = ({ points }: Picture, key: string): boolean =>
  points.some((point) => point.key === key && point.releases);

/** The first initiating alarm, by a point that releases, since the last reset that was not early. */
export function releasingAlarm(picture: Picture): Mark | undefined {
  const { episode } = picture;
  if (episode === undefined || episode.end !== undefined) return undefined;
  const lastGood = episode.resets.findLast(({ early }) => early.length === 0);
  let first: Mark | undefined;
  for (const [key, mark] of episode.initiated) {
    if (!pointReleases(picture, key)) continue;
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
