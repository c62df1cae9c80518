import { causeIds } from '@tidemark/words';
import type { CauseId } from '@tidemark/words';
import { answerLikelihood } from './answers.ts';
import type { Answers } from './answers.ts';
import type { Signature } from './mode.ts';
import { chamberModes } from './modes-chamber.ts';
import { outletModes } from './modes-outlet.ts';
import { panelModes } from './modes-panel.ts';
import { supplyModes } from './modes-supply.ts';
import type { Observations, Variable } from './variables.ts';
import { isNormal, variableNames, variables } from './variables.ts';

/**
 * The figures of the inference that were fitted, on the tuning part of the scoring corpus alone (`npm run score`). All
 * others are the signatures.
 */
export const fitted: {
  readonly symptomByChance: number;
  readonly symptomUnknown: number;
  readonly unknownPrior: number;
  readonly secondFault: number;
} = {
  /** A sound riser, or a fault that does not bear on a variable, brings a symptom there this often: noise of report. */
  symptomByChance: 0.015,
  /** What the model does not know brings a symptom anywhere this often. */
  symptomUnknown: 0.2,
  /** The share of "something else" before anything is seen, against one fault of the catalogue. */
  unknownPrior: 2,
  /** A second, independent fault beside a first one, against that one alone. */
  secondFault: 0.02,
};

const signatures: ReadonlyMap<CauseId, Signature> = new Map(
  causeIds.map((id) => [id, { ...supplyModes[id], ...chamberModes[id], ...outletModes[id], ...panelModes[id] }]),
);

/** Whether a fault bears on a variable at all. */
export const bearsOn = (cause: CauseId, variable: Variable): boolean => signatures.get(cause)?.[variable] !== undefined;

/** The probability of a value under one fault alone. */
export const likelihood = (cause: CauseId, variable: Variable, value: string): number =>
  table.get(cause)?.get(variable)?.get(value) ?? byChance(variable, value, fitted.symptomByChance);

/** The shares of a signature over all values; what it leaves over is mostly the ordinary course. */
function spread(variable: Variable, shares: Readonly<Record<string, number>>): ReadonlyMap<string, number> {
  const normal = variables[variable][0];
  const unnamed = variables[variable].filter((value) => shares[value] === undefined);
  const left = 1 - Object.values(shares).reduce((sum, share) => sum + share, 0);
  const ordinary = unnamed.includes(normal) ? left * (1 - fitted.symptomByChance) : 0;
  const odd = unnamed.filter((value) => value !== normal);
  return new Map(
    variables[variable].map((value): readonly [string, number] => [
      value,
      shares[value] ?? (value === normal ? (odd.length === 0 ? left : ordinary) : (left - ordinary) / odd.length),
    ]),
  );
}

const byChance = (variable: Variable, value: string, symptom: number): number =>
  isNormal(variable, value) ? 1 - symptom : symptom / (variables[variable].length - 1);

/** All likelihoods that differ from chance, worked out once. */
const table: ReadonlyMap<CauseId, ReadonlyMap<Variable, ReadonlyMap<string, number>>> = new Map(
  [...signatures].map(([cause, signature]) => [
    cause,
    new Map(
      variableNames.flatMap((variable): (readonly [Variable, ReadonlyMap<string, number>])[] => {
        const shares = signature[variable];
        return shares === undefined ? [] : [[variable, spread(variable, shares)]];
      }),
    ),
  ]),
);

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
  const singles = causeIds.map((cause): Hypothesis => ({
    causes: [cause],
    weight: seen.reduce(
      (product, { variable, value }) => product * likelihood(cause, variable, value),
      prior(cause) * found(cause),
    ),
  }));
  const unknown = seen.reduce(
    (product, { variable, value }) => product * byChance(variable, value, fitted.symptomUnknown),
    fitted.unknownPrior * found(),
  );
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
      weight: seen.reduce(
        (product, each) => product * together(one, other, each),
        prior(one) * prior(other) * fitted.secondFault * found(one, other),
      ),
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

/** A fault explains a symptom that it brings several times more often than chance does. */
export const explains = (cause: CauseId, variable: Variable, value: string): boolean =>
  bearsOn(cause, variable) &&
  likelihood(cause, variable, value) >= 3 * byChance(variable, value, fitted.symptomByChance);
