import type { Window, WindowName, Windows } from '@tidemark/hydraulics';
import { hasPoint } from '@tidemark/riser';
import type { Facts } from './facts.ts';
import { after } from './facts.ts';
import { refillStart, restoringReset } from './rules/prime.ts';

/** Spans whose both ends are signals; one that starts or ends with an act nobody sees narrows nothing (CONTRACT 5.2). */
export const narrowedNames = [
  'releaseToPrimeLow',
  'releaseToWaterflow',
  'resetToPrimeRestored',
] as const satisfies readonly WindowName[];

/** The name of a span that clean tests narrow. */
export type NarrowedName = (typeof narrowedNames)[number];

/** What clean tests and trips taught of one span: its mean, how sure that is, and the first figure, to see drift by. */
export interface LearnedSpan {
  readonly mean_s: number;
  readonly variance_s2: number;
  readonly first_s: number;
  readonly tests: number;
}

/** What a riser's clean tests and trips taught; empty before the first. */
export type Learned = { readonly [Name in NarrowedName]?: LearnedSpan };

/**
 * From one run to the next a span varies by this share of itself (one standard deviation; trapped air, temperature,
 * supply), and between tests its mean may wander by this one. Choices of this project; MODEL 5 gives the method, a
 * scalar Kalman update, and calibrated ranges that are about 3 % to 10 % wide.
 */
const spread = { run: 0.25, wander: 0.05 } as const;

/** Half a window in standard deviations. */
const wide = 3;

/** How the panel's scan blurs a span: even over one scan either way, as a variance. */
const scanVariance_s2 = (scan_s: number): number => scan_s ** 2 / 3;

/** Takes one clean span into account (scalar Kalman update, seconds). */
export function learnt(before: LearnedSpan | undefined, span_s: number, scan_s: number): LearnedSpan {
  const noise_s2 = scanVariance_s2(scan_s) + (spread.run * span_s) ** 2;
  if (before === undefined) return { mean_s: span_s, variance_s2: noise_s2, first_s: span_s, tests: 1 };
  const open_s2 = before.variance_s2 + (spread.wander * before.mean_s) ** 2;
  const gain = open_s2 / (open_s2 + noise_s2);
  return {
    mean_s: before.mean_s + gain * (span_s - before.mean_s),
    variance_s2: (1 - gain) * open_s2,
    first_s: before.first_s,
    tests: before.tests + 1,
  };
}

/** A window after clean tests: never wider than before them. The panel's scan is still to be added by whoever judges. */
export function narrowed(prior: Window, learned: LearnedSpan | undefined, scan_s: number): Window {
  if (learned === undefined) return prior;
  const half_s = wide * Math.sqrt(learned.variance_s2 + (spread.run * learned.mean_s) ** 2 + scanVariance_s2(scan_s));
  const min_s = Math.max(prior.min_s, learned.mean_s - half_s);
  return {
    min_s: Math.min(min_s, prior.max_s),
    max_s: Math.max(Math.min(prior.max_s, learned.mean_s + half_s), min_s),
  };
}

/** All windows of a riser, the learned ones narrowed. */
export function narrowedWindows(windows: Windows, learned: Learned, scan_s: number): Windows {
  const changed = narrowedNames.filter((name) => learned[name] !== undefined);
  if (changed.length === 0) return windows;
  return {
    ...windows,
    ...Object.fromEntries(changed.map((name) => [name, narrowed(windows[name], learned[name], scan_s)])),
  };
}

/**
 * What an ended episode teaches: the spans of one undisturbed trip and of its restoration. A span outside its window is
 * a finding and no lesson, and nothing is learnt of an episode with an early reset, a second release or a second flow.
 */
export function learnedFrom(before: Learned, facts: Facts): Learned {
  const { episode, profile } = facts;
  if (episode?.end === undefined || episode.releases.length !== 1 || episode.flows.length > 1) return before;
  if (episode.resets.some(({ early }) => early.length > 0) || facts.release?.supplyClosed !== undefined) return before;
  const scan_s = profile.limits.scanSeconds;
  const spans = spansOfEpisode(facts);
  const learned: { [Name in NarrowedName]?: LearnedSpan } = { ...before };
  for (const name of narrowedNames) {
    const span_s = spans[name];
    const { min_s, max_s } = facts.windows[name];
    if (span_s === undefined || span_s < min_s - scan_s || span_s > max_s + scan_s) continue;
    learned[name] = learnt(before[name], Math.max(span_s, 0), scan_s);
  }
  return learned;
}

function spansOfEpisode(facts: Facts): { readonly [Name in NarrowedName]?: number } {
  const { release, flow, episode, picture, profile } = facts;
  if (release?.seen !== true || !hasPoint(profile, 'solenoid')) return {};
  const low = [...picture.points.values()].find(({ signal }) => signal === 'prime-pressure-low')?.activations.at(-1);
  const reset = restoringReset(facts);
  const start = reset === undefined ? undefined : refillStart(facts, reset);
  const back = episode?.primeBack;
  const water = flow?.testWindow === undefined && flow?.supplyClosed === undefined ? flow?.begin : undefined;
  const seconds = (ms: number): number => ms / 1_000;
  return {
    ...(low === undefined || !after(low, release.begin)
      ? {}
      : { releaseToPrimeLow: seconds(low.order_ms - release.begin.order_ms) }),
    ...(water === undefined ? {} : { releaseToWaterflow: seconds(water.order_ms - release.begin.order_ms) }),
    ...(start === undefined || back === undefined || !after(back, start)
      ? {}
      : { resetToPrimeRestored: seconds(back.order_ms - start.order_ms) }),
  };
}
