import type { Instant } from '@tidemark/kernel';
import { instant } from '@tidemark/kernel';
import { predictWindows } from '@tidemark/hydraulics';
import type { WindowName } from '@tidemark/hydraulics';
import type { SignalName } from '@tidemark/signals';
import { figuresOf } from '@tidemark/simulator';
import type { HeardStory } from './heard-story.ts';
import { Known } from './known.ts';

/** A time in which a code's condition holds: it is raised between the two, if it is `sure`; else it may be. */
export interface Occurrence {
  readonly from: Instant;
  readonly to: Instant;
  readonly sure: boolean;
}

/** When a test was announced, or the panel was in test. */
export interface TestWindow {
  readonly from: Instant;
  readonly to: Instant;
  /** `undefined` for the panel's own test mode, which expects nothing. */
  readonly expect: readonly SignalName[] | undefined;
}

/** Room for a scan at both ends and the line's jitter, ms: within it the contract leaves the moment open. */
export const slack_ms = 3_000;

/** A finding is not raised before its moment; clocks of whole milliseconds and the line's jitter aside. */
const before_ms = 500;

/** A log laid out for judging: what was known when, windows and limits in ms. */
export class Case {
  readonly story: HeardStory;
  readonly all: Known;
  readonly latency_ms: number;
  readonly scan_ms: number;
  readonly tests: readonly TestWindow[];
  readonly impairments: readonly { readonly from: Instant; readonly to: Instant }[];
  readonly #windows: Readonly<Record<WindowName, { readonly min_s: number; readonly max_s: number }>>;
  readonly #known = new Map<number, Known>();

  constructor(story: HeardStory) {
    this.story = story;
    this.all = new Known(story, Infinity);
    this.latency_ms = 1_000 * story.profile.link.latencySeconds;
    this.scan_ms = 1_000 * story.profile.limits.scanSeconds;
    this.tests = testWindows(story, this.all);
    this.impairments = impairmentsOf(story);
    this.#windows = predictWindows(figuresOf(story.profile));
  }

  get profile(): HeardStory['profile'] {
    return this.story.profile;
  }

  has(name: SignalName): boolean {
    return this.profile.points.some(({ signal }) => signal === name);
  }

  /** A limit of the profile, ms. */
  limit_ms(name: Exclude<keyof HeardStory['profile']['limits'], 'chattering'>): number {
    return 1_000 * this.profile.limits[name];
  }

  /** A window without its widening by the scan, ms. The panel's retard is exact and shifts it (MODEL 5). */
  window_ms(name: WindowName): { readonly min: number; readonly max: number } {
    const { max_s, min_s } = this.#windows[name];
    const retard_s = name === 'releaseToWaterflow' ? this.profile.panel.waterflowRetardSeconds : 0;
    return { min: 1_000 * (min_s + retard_s), max: 1_000 * (max_s + retard_s) };
  }

  knownBy(by: number): Known {
    const known = this.#known.get(by) ?? new Known(this.story, by);
    this.#known.set(by, known);
    return known;
  }

  /** Whether a test window is open at some moment of a stretch of time. */
  inTest(from: number, to = from): boolean {
    return this.tests.some((each) => each.from <= to && each.to >= from);
  }

  impaired(from: number, to = from): boolean {
    return this.impairments.some((each) => each.from <= to && each.to >= from);
  }

  /** What is raised at a moment. */
  at(moment: number, sure = true): Occurrence {
    return { from: instant(moment - before_ms), to: instant(moment + slack_ms), sure };
  }

  /**
   * What rests on an absence: raised when its deadline and the latency are over if it holds by what is known then
   * (CONTRACT 5.1). What changes about that very moment is left open.
   */
  absent(deadline: number, holds: (known: Known) => boolean): readonly Occurrence[] {
    const due = deadline + this.latency_ms;
    if (due > this.story.until) return [];
    const [before, after] = [holds(this.knownBy(due - slack_ms)), holds(this.knownBy(due + slack_ms))];
    if (!before && !after) return [];
    return [this.at(due, before && after && due + slack_ms <= this.story.until)];
  }
}

/** A moment that is sure unless something left open bears on it. */
export const unsure = (occurrences: readonly Occurrence[]): readonly Occurrence[] =>
  occurrences.map((each) => ({ ...each, sure: false }));

function testWindows({ commands, until }: HeardStory, all: Known): readonly TestWindow[] {
  const announced = commands.flatMap(({ command, received }, index): readonly TestWindow[] => {
    if (command.command !== 'test-begin') return [];
    const over = received + 1_000 * command.forSeconds;
    const ended = commands.slice(index + 1).find((each) => each.command.command === 'test-end')?.received ?? Infinity;
    return [{ from: received, to: instant(Math.min(over, ended)), expect: command.expect }];
  });
  const byPanel = all.of('test-mode').map(({ from, to }) => ({
    from: from.received,
    to: to?.received ?? until,
    expect: undefined,
  }));
  return [...announced, ...byPanel];
}

function impairmentsOf({ commands, until }: HeardStory): Case['impairments'] {
  return commands.flatMap(({ command, received }, index) => {
    if (command.command !== 'impairment-begin') return [];
    const ended = commands.slice(index + 1).find((each) => each.command.command === 'impairment-end');
    return [{ from: received, to: ended?.received ?? until }];
  });
}
