import { isInitiating } from '@tidemark/signals';
import type { Case } from './case.ts';
import type { HeardSignal } from './heard-story.ts';
import type { Known } from './known.ts';

/** A release: seen at its own point, or taken from the alarm that releases (CONTRACT 5.1). */
export interface Release {
  readonly signal: HeardSignal;
  /** The solenoid was seen. */
  readonly seen: boolean;
  /** Possible from here, in the places of signals. */
  readonly at: number;
  /** Taken as done here: the start of windows, station time. */
  readonly done: number;
  /** When it ended, as far as is known. */
  readonly over: number;
}

/** Every release, as far as it is known. */
export function releases(given: Case, known: Known): readonly Release[] {
  if (given.has('solenoid'))
    return known.of('solenoid').map(({ from, to }) => ({
      signal: from,
      seen: true,
      at: from.at,
      done: from.received,
      over: to?.at ?? Infinity,
    }));
  return releasingAlarms(given, known)
    .filter((alarm) => known.at('release-disconnect', alarm.at) === undefined)
    .map((alarm) => ({
      signal: alarm,
      seen: false,
      at: alarm.at + 1_000 * given.profile.panel.releaseDelaySeconds,
      done: alarm.received + deadline_ms(given),
      over: known.resets.find((reset) => reset.at > alarm.at)?.at ?? Infinity,
    }));
}

/** The release deadline of an alarm (CONTRACT 5.2). */
export const deadline_ms = ({ profile }: Case): number =>
  1_000 * (profile.panel.releaseDelaySeconds + profile.limits.releaseToleranceSeconds);

/** Alarms that by the profile should release: each beginning, and each announced anew after a reset. */
export const releasingAlarms = ({ profile }: Case, known: Known): readonly HeardSignal[] =>
  known.alarms.filter(({ name, point }) =>
    profile.points.some((each) => each.signal === name && each.point === point && each.releases && isInitiating(name)),
  );

/** The release in force at a place, if any. */
export const releaseAt = (all: readonly Release[], at: number): Release | undefined =>
  all.find((each) => each.at <= at && each.over > at);
