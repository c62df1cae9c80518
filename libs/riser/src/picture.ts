import type { Instant } from '@tidemark/kernel';
import type { ContactName, ReadingName, SignalName } from '@tidemark/signals';
import type { EventReference, RiserCommand } from './event.ts';
import type { Profile } from './profile.ts';

/** A moment of the story, on the clocks that bear on it. */
export interface Mark {
  /**
   * Where the moment stands in the story, in milliseconds: the panel's clock, shifted by the least delay of its
   * source so that panels, commands and links share one axis. Differences within one source are the panel's own.
   */
  readonly order_ms: number;
  /** The station's clock at receipt: deadlines of the station run from here. */
  readonly receivedAt: Instant;
  readonly ref: EventReference;
}

/** What is known of one point of the profile, or of one signal of the panel. */
export interface PointState {
  /** Its name among the points of a picture. */
  readonly key: string;
  /** The profile's number; absent for signals of the panel and trouble classes, which need no point. */
  readonly point: number | undefined;
  readonly signal: ContactName;
  readonly label: string;
  readonly releases: boolean;
  readonly state: 'active' | 'restored' | 'never-seen';
  /** When it entered this state. */
  readonly since: Mark | undefined;
  /** When it last said anything. */
  readonly heard: Mark | undefined;
  /** The newest activations, oldest first, as many as chattering counts. */
  readonly activations: readonly Mark[];
}

/** A measured value, in SI. */
export interface Reading {
  /** Its name among the readings of a picture. */
  readonly key: string;
  readonly name: ReadingName;
  readonly point: number | undefined;
  readonly si: number;
  readonly value: number;
  readonly unit: string;
  readonly mark: Mark;
}

/** A time in which signals are expected, opened by the station or by the panel's own `test-mode`. */
export interface TestWindow {
  readonly origin: 'station' | 'panel';
  readonly begin: Mark;
  /** The station's clock; a window of the panel ends only when its `test-mode` restores. */
  readonly endsAt: Instant | undefined;
  readonly expect: readonly SignalName[];
  /** The first of each expected signal that came. */
  readonly seen: ReadonlyMap<SignalName, Mark>;
  /** How it ended, once it has. */
  readonly end: Mark | undefined;
}

/** A declared impairment. */
export interface Impairment {
  readonly kind: 'planned' | 'emergency';
  readonly reason: string;
  readonly begin: Mark;
  readonly end: Mark | undefined;
}

/** A panel reset and what it found. */
export interface Reset {
  readonly mark: Mark;
  /** Alarm points that had not restored: known at once where contacts report, else from what the panel announced after it. */
  readonly early: readonly EventReference[];
  readonly supplyClosed: Mark | undefined;
  readonly primeLow: Mark | undefined;
  readonly releaseActive: boolean;
  /** Whether a release, or a waterflow other than a test's, had happened in its episode. */
  readonly tripped: boolean;
  /** Initiating points that had been in alarm before it: any other one acts anew. */
  readonly initiated: readonly string[];
}

/** One time the release acted, from energized to at rest. */
export interface Release {
  readonly begin: Mark;
  readonly end: Mark | undefined;
  /** An initiating alarm since the last reset that was not early. */
  readonly alarm: Mark | undefined;
  readonly supplyClosed: Mark | undefined;
  readonly flowAlready: boolean;
  /** The latest reset before it in this episode. */
  readonly reset: Reset | undefined;
}

/** One time the waterflow alarm stood, over all waterflow points. */
export interface Flow {
  readonly begin: Mark;
  readonly end: Mark | undefined;
  /** The valve was off normal when it began. */
  readonly supplyClosed: Mark | undefined;
  readonly testWindow: TestWindow | undefined;
  /** A release acted since the last reset that was not early. */
  readonly release: Mark | undefined;
  readonly primeLow: Mark | undefined;
  readonly reset: Reset | undefined;
}

/** One time the supply valve was supervised off normal, over all supply valve points. */
export interface Closing {
  readonly begin: Mark;
  readonly end: Mark | undefined;
  /** Whether water was reported when it began. */
  readonly duringFlow: boolean;
}

/** Everything from the first departure from in-service until nothing departs any more. */
export interface Episode {
  readonly id: string;
  readonly begin: Mark;
  /** What opened it. */
  readonly opener: SignalName | 'test-begin' | 'impairment-begin';
  readonly end: Mark | undefined;
  /** An alarm sounded or the release acted: then a reset is owed at the end. */
  readonly alarmed: boolean;
  readonly releases: readonly Release[];
  readonly flows: readonly Flow[];
  readonly resets: readonly Reset[];
  readonly closings: readonly Closing[];
  readonly silences: readonly Mark[];
  /** Initiating points that were in alarm, with their latest activation. */
  readonly initiated: ReadonlyMap<string, Mark>;
  /** When priming pressure last came back. */
  readonly primeBack: Mark | undefined;
  /** The first reset that was not early. */
  readonly firstGoodReset: Reset | undefined;
  readonly confirmed: ReadonlyMap<string, { readonly mark: Mark; readonly by: string }>;
  /** What checks on site found, the newest answer of each. */
  readonly answers: ReadonlyMap<string, { readonly mark: Mark; readonly by: string; readonly found: string }>;
}

/** The events of an episode, for its telling; nothing is concluded from it. */
export interface Chronicle {
  /** The newest. */
  readonly events: readonly EventReference[];
  readonly eventCount: number;
}

/** The story so far, in the order in which it happened. Made by `tell`; never by a clock. */
export interface Picture {
  readonly profile: Profile;
  /** Those of the profile in its order, then the panel's own and strangers as they were first heard. */
  readonly points: readonly PointState[];
  /** The points that are active, in the same order: most questions are about these few. */
  readonly active: readonly PointState[];
  /** The newest of each point, the point first heard first. */
  readonly readings: readonly Reading[];
  /** The last valid signal of any kind. */
  readonly heard: Mark | undefined;
  readonly heardBesidesTest: Mark | undefined;
  readonly begun: Mark | undefined;
  readonly link: {
    readonly state: 'unknown' | 'up' | 'down';
    readonly session: string | undefined;
    readonly mark: Mark | undefined;
    /** It came up after having been down: what was sent meanwhile may still be arriving. */
    readonly returned: boolean;
  };
  /** The newest windows, the open one last. */
  readonly tests: readonly TestWindow[];
  readonly impairments: readonly Impairment[];
  /** The open episode, or the last one. */
  readonly episode: Episode | undefined;
  /** What happened in the open episode; empty when none is open. */
  readonly chronicle: Chronicle;
  /** The last reset of all, in an episode or not. */
  readonly lastReset: Reset | undefined;
  /** A reset is owed: an alarm or supervisory point restored, or an alarm sounded, after the last one. */
  readonly resetOwed: boolean;
  /** Signals the profile has no such point for, newest last. */
  readonly strangers: readonly Stranger[];
  /** What people did about this riser, newest last. */
  readonly actions: readonly Action[];
}

/** What a person commanded or put on record. */
export interface Action {
  readonly mark: Mark;
  readonly by: string;
  readonly command: RiserCommand;
}

/** A valid signal from a point that the profile does not have, or has as another signal. */
export interface Stranger {
  readonly mark: Mark;
  readonly signal: SignalName;
  readonly point: number | undefined;
  /** What the profile has under that number. */
  readonly installed: SignalName | undefined;
  /** Several points of that signal and no number given. */
  readonly ambiguous: boolean;
}

/** The named maxima of what a picture remembers. */
export const pictureLimits = {
  releases: 16,
  flows: 16,
  resets: 32,
  closings: 16,
  silences: 8,
  events: 200,
  tests: 4,
  impairments: 32,
  strangers: 16,
  initiated: 64,
  confirmed: 32,
  answers: 32,
  actions: 64,
} as const;

/**
 * A picture with some of its parts changed. Member by member: spreading an object costs many times as much, and this
 * is done several times with every signal. No part of a picture ever goes back to being undefined.
 */
export const altered = (picture: Picture, changes: Partial<Picture>): Picture => ({
  profile: picture.profile,
  points: changes.points ?? picture.points,
  active: changes.active ?? picture.active,
  readings: changes.readings ?? picture.readings,
  heard: changes.heard ?? picture.heard,
  heardBesidesTest: changes.heardBesidesTest ?? picture.heardBesidesTest,
  begun: changes.begun ?? picture.begun,
  link: changes.link ?? picture.link,
  tests: changes.tests ?? picture.tests,
  impairments: changes.impairments ?? picture.impairments,
  episode: changes.episode ?? picture.episode,
  chronicle: changes.chronicle ?? picture.chronicle,
  lastReset: changes.lastReset ?? picture.lastReset,
  resetOwed: changes.resetOwed ?? picture.resetOwed,
  strangers: changes.strangers ?? picture.strangers,
  actions: changes.actions ?? picture.actions,
});
