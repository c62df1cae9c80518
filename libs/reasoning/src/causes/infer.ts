import { causeIds } from '@tidemark/words';
import type { CauseId } from '@tidemark/words';
import { answerLikelihood } from './answers.ts';
import type { Answers } from './answers.ts';
import { bearsOn, byChance, explains, figures, likelihood } from './likelihoods.ts';
import type { Observations, Variable } from './variables.ts';
import { isNormal, variableNames } from './variables.ts';

/** One explanation: a fault, or two at once, with its weight against the others. */
export interface Hypothesis {
  readonly causes: readonly CauseId[];
  readonly weight: number;
}

/** What remains possible: the explanations, and the weight of everything the model does not know. */
export interface Belief {
  readonly hypotheses: readonly Hypothesis[];
  readonly unknown: number;
}

/** How much likelier each fault is to start with; every other one has 1 (MODEL 4.8: no usable public table was found). */
export type Priors = { readonly [Id in CauseId]?: number };

/**
 * Bayes over the catalogue: every fault alone, and, once two symptoms stand that no fault explains together, every pair
 * of faults that bear on them. Pure; the observations are taken as independent given the explanation.
 */
export function infer(observed: Observations, priors: Priors = {}, answers: Answers = new Map()): Belief {
  const seen = variableNames.flatMap((variable): readonly Seen[] => {
    const value = observed[variable]?.value;
    return value === undefined ? [] : [{ variable, value: value }];
  });
  const symptoms = seen.filter(({ variable, value }) => !isNormal(variable, value));
  const prior = (cause: CauseId): number => priors[cause] ?? 1;
  const found = (...causes: readonly CauseId[]): number => answerLikelihood(answers, causes);
  const weight = (likelihoodOf: (each: Seen) => number): number =>
    seen.reduce((product, each) => product * likelihoodOf(each), 1) ** figures.temper;
  const singles = causeIds.map((cause): Hypothesis => ({
    causes: [cause],
    weight: prior(cause) * found(cause) * weight(({ variable, value }) => likelihood(cause, variable, value)),
  }));
  const unknown =
    figures.unknownPrior * found() * weight(({ variable, value }) => byChance(variable, value, figures.symptomUnknown));
  const concerned = causeIds.filter((cause) =>
    symptoms.some(({ variable, value }) => explains(cause, variable, value)),
  );
  const explained = concerned.some((cause) =>
    symptoms.every(({ variable, value }) => explains(cause, variable, value)),
  );
  if (symptoms.length < 2 || explained) return { hypotheses: singles, unknown };
  const pairs = concerned.flatMap((one, index) =>
    concerned.slice(index + 1).map((other): Hypothesis => ({
      causes: [one, other],
      weight:
        prior(one) *
        prior(other) *
        figures.secondFault *
        found(one, other) *
        weight((each) => together(one, other, each)),
    })),
  );
  return { hypotheses: [...singles, ...pairs], unknown };
}

interface Seen {
  readonly variable: Variable;
  readonly value: string;
}

/** Two faults at once: a variable goes by the fault that bears on it, and where both do each has its half. */
function together(one: CauseId, other: CauseId, { variable, value }: Seen): number {
  const [first, second] = [bearsOn(one, variable), bearsOn(other, variable)];
  if (!first || !second) return likelihood(second ? other : one, variable, value);
  return (likelihood(one, variable, value) + likelihood(other, variable, value)) / 2;
}
