import type { CauseId } from '@tidemark/words';
import type { Condition } from '../condition.ts';
import type { CauseGroup } from '../finding.ts';
import type { Answers } from './answers.ts';
import { bestCheck } from './best-check.ts';
import type { Belief, Priors } from './infer.ts';
import { infer } from './infer.ts';
import { explains } from './likelihoods.ts';
import { symptomOf } from './symptom-of.ts';
import type { Observations } from './variables.ts';

/** What bears on the causes of every finding of a riser at one moment. */
export interface CauseContext {
  readonly observed: Observations;
  readonly priors: Priors;
  readonly answers?: Answers;
  /** What the signals might have said has perhaps not arrived. */
  readonly blind: boolean;
}

/** Groups told at most, and the least probability that is worth telling (choices of this project). */
const limits = { groups: 5, least: 0.02 } as const;

/**
 * Causes whose shares differ by less than this factor are one group: the signals so far do not tell them apart (below 3 a
 * ratio is "not worth more than a bare mention", Kass and Raftery 1995, Bayes factors, from memory).
 */
const apart = 3;

/**
 * The ranked groups of causes of a finding: the explanations that bring its symptom, weighed by everything observed of
 * the episode. Probabilities sum to at most 1; the rest is something else.
 */
export function causesOf(
  condition: Condition,
  { observed, priors, answers, blind }: CauseContext,
): readonly CauseGroup[] {
  const symptom = symptomOf(condition);
  if (symptom === undefined) return [];
  const told: Observations = {
    ...observed,
    ...(symptom.value === undefined
      ? {}
      : { [symptom.variable]: { value: symptom.value, evidence: condition.evidence } }),
    ...(blind && observed.path === undefined ? { path: { value: 'silent', evidence: [] } } : {}),
  };
  const variable = told[symptom.variable] === undefined ? (symptom.otherwise ?? symptom.variable) : symptom.variable;
  const value = told[variable]?.value;
  if (value === undefined) return [];
  const belief = infer(told, priors, answers);
  const shares = sharesOf(belief, (cause) => explains(cause, variable, value));
  return grouped(shares);
}

/** The share of each cause among the explanations of a symptom; what the model does not know keeps its own. */
export function sharesOf(belief: Belief, explainsIt: (cause: CauseId) => boolean): ReadonlyMap<CauseId, number> {
  const shares = new Map<CauseId, number>();
  let total = belief.unknown;
  for (const { causes, weight } of belief.hypotheses) {
    const able = causes.filter(explainsIt);
    if (able.length === 0) continue;
    total += weight;
    for (const cause of able) shares.set(cause, (shares.get(cause) ?? 0) + weight / able.length);
  }
  return new Map([...shares].map(([cause, weight]) => [cause, weight / total]));
}

function grouped(shares: ReadonlyMap<CauseId, number>): readonly CauseGroup[] {
  const ranked = [...shares].sort(([one, first], [other, second]) => second - first || (one < other ? -1 : 1));
  const groups: { readonly causes: CauseId[]; share: number; readonly top: number }[] = [];
  for (const [cause, share] of ranked) {
    const last = groups.at(-1);
    if (last !== undefined && last.top < share * apart) {
      last.causes.push(cause);
      last.share += share;
    } else groups.push({ causes: [cause], share, top: share });
  }
  return groups
    .filter(({ share }) => share >= limits.least)
    .sort((one, other) => other.share - one.share)
    .slice(0, limits.groups)
    .map(({ causes, share }) => ({
      causes,
      probability: Math.floor(share * 100) / 100,
      check: bestCheck(causes, shares),
    }));
}
