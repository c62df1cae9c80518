import type { CauseId, FindingCode } from '@tidemark/reasoning';
import type { LabelledEpisode } from './episode.ts';
import type { ToldFinding } from './replayed.ts';

/** How one code was told over many episodes. */
export interface CodeScore {
  readonly code: FindingCode;
  /** Raised and true; raised and not true; true and not raised in its time. */
  readonly hits: number;
  readonly falseAlarms: number;
  readonly misses: number;
  /** From the first moment at which it could be raised, s, of each hit. */
  readonly delays_s: readonly number[];
}

/** How the causes of one fault were ranked. */
export interface CauseScore {
  readonly cause: CauseId;
  readonly episodes: number;
  /** Episodes in which nothing was found: the fault shows in no signal, so there is nothing to rank. */
  readonly silent: number;
  /** Episodes in which its group stood first, and among the first three. */
  readonly first: number;
  readonly three: number;
  /** Mean Brier score over its episodes, 0 to 1. */
  readonly brier: number;
}

/** What was made of one episode. */
export interface Outcome {
  readonly episode: LabelledEpisode;
  readonly told: readonly ToldFinding[];
}

/** Scores every code that was true or told. */
export function codeScores(outcomes: readonly Outcome[]): readonly CodeScore[] {
  const scores = new Map<FindingCode, { hits: number; falseAlarms: number; misses: number; delays_s: number[] }>();
  const scoreOf = (code: FindingCode) => {
    const score = scores.get(code) ?? { hits: 0, falseAlarms: 0, misses: 0, delays_s: [] };
    scores.set(code, score);
    return score;
  };
  for (const { episode, told } of outcomes) {
    const { meets, may } = episode.truth;
    const used = new Set<ToldFinding>();
    for (const { code, from, to } of meets) {
      const hit = told.find(
        (each) => each.code === code && each.raisedAt >= from && each.raisedAt <= to && !used.has(each),
      );
      if (hit === undefined) scoreOf(code).misses += 1;
      else {
        used.add(hit);
        scoreOf(code).hits += 1;
        scoreOf(code).delays_s.push((hit.raisedAt - from) / 1_000);
      }
    }
    for (const each of told) if (!used.has(each) && !may.includes(each.code)) scoreOf(each.code).falseAlarms += 1;
  }
  return [...scores]
    .map(([code, score]) => ({ code, ...score }))
    .sort((one, other) => (one.code < other.code ? -1 : 1));
}

/** A group of causes as an episode ranks it: the highest probability that any of its findings gave it. */
interface RankedGroup {
  readonly causes: readonly CauseId[];
  readonly probability: number;
}

/** The groups of all findings of an episode in one ranking; a cause named twice counts where it stands higher. */
export function rankingOf(told: readonly ToldFinding[]): readonly RankedGroup[] {
  const groups = told.flatMap(({ causes }) => causes).toSorted((one, other) => other.probability - one.probability);
  const named = new Set<CauseId>();
  return groups.flatMap(({ causes, probability }): readonly RankedGroup[] => {
    const fresh = causes.filter((cause) => !named.has(cause));
    fresh.forEach((cause) => named.add(cause));
    return fresh.length === 0 ? [] : [{ causes: fresh, probability }];
  });
}

/**
 * The Brier score of a finding's groups against the true causes (Brier 1950, for several classes): half the squared
 * distance over its groups and "something else", from 0 (sure and right) to 1 (sure and wrong).
 */
export function brierOf(groups: readonly RankedGroup[], truth: readonly CauseId[]): number {
  const rest = Math.max(0, 1 - groups.reduce((sum, { probability }) => sum + probability, 0));
  const holds = groups.map(({ causes }) => causes.some((cause) => truth.includes(cause)));
  const first = holds.indexOf(true);
  const distance = groups.reduce(
    (sum, { probability }, index) => sum + (probability - (index === first ? 1 : 0)) ** 2,
    0,
  );
  // A true cause that is not named had probability 0: "something else" is no refuge from the catalogue.
  if (first < 0 && truth.length > 0) return Math.min(1, (distance + rest ** 2 + 1) / 2);
  return (distance + (rest - (first < 0 ? 1 : 0)) ** 2) / 2;
}

/** Scores every injected cause. */
export function causeScores(outcomes: readonly Outcome[]): readonly CauseScore[] {
  const scores = new Map<
    CauseId,
    { episodes: number; silent: number; first: number; three: number; briers: number[] }
  >();
  for (const { episode, told } of outcomes) {
    const truth = episode.truth.injected.map(({ cause }) => cause);
    const ranking = rankingOf(told);
    for (const cause of new Set(truth)) {
      const score = scores.get(cause) ?? { episodes: 0, silent: 0, first: 0, three: 0, briers: [] };
      scores.set(cause, score);
      score.episodes += 1;
      const findings = told.filter(({ causes }) => causes.length > 0);
      if (findings.length === 0) {
        score.silent += 1;
        continue;
      }
      // With two faults at once each has its place: the better-ranked one does not push the other down.
      const place = ranking
        .filter(({ causes }) => causes.includes(cause) || !causes.some((each) => truth.includes(each)))
        .findIndex(({ causes }) => causes.includes(cause));
      if (place === 0) score.first += 1;
      if (place >= 0 && place < 3) score.three += 1;
      score.briers.push(...findings.map(({ causes }) => brierOf(causes, truth)));
    }
  }
  return [...scores]
    .map(([cause, { briers, ...score }]) => ({
      cause,
      ...score,
      brier: briers.length === 0 ? 0 : briers.reduce((sum, each) => sum + each, 0) / briers.length,
    }))
    .sort((one, other) => (one.cause < other.cause ? -1 : 1));
}

/** How often each injected cause was taken for which: true cause, first cause of the leading group, count. */
export function confusions(outcomes: readonly Outcome[]): readonly (readonly [CauseId, string, number])[] {
  const counts = new Map<string, number>();
  for (const { episode, told } of outcomes)
    for (const { cause } of episode.truth.injected) {
      const [leading] = rankingOf(told);
      const taken =
        leading === undefined ? 'nothing' : leading.causes.includes(cause) ? cause : (leading.causes[0] ?? '');
      const key = `${cause} ${taken}`;
      counts.set(key, (counts.get(key) ?? 0) + 1);
    }
  return [...counts]
    .map(([key, count]): readonly [CauseId, string, number] => {
      const [cause = '', taken = ''] = key.split(' ');
      return [cause as CauseId, taken, count];
    })
    .sort(([one], [other]) => (one < other ? -1 : 1));
}
