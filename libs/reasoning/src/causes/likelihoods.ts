import { causeIds } from '@tidemark/words';
import type { CauseId } from '@tidemark/words';
import type { Signature } from './mode.ts';
import { chamberModes } from './modes-chamber.ts';
import { outletModes } from './modes-outlet.ts';
import { panelModes } from './modes-panel.ts';
import { supplyModes } from './modes-supply.ts';
import { played } from './played.ts';
import type { Variable } from './variables.ts';
import { isNormal, variableNames, variables } from './variables.ts';

/**
 * The figures of the inference beside the signatures and the counts of what played faults brought. `temper` and
 * `unknownPrior` were fitted, on the tuning part of the scoring corpus alone (`npm run score`); the others are choices of
 * this project, and moving them within reason changed little there.
 */
export const figures: {
  readonly symptomByChance: number;
  readonly symptomUnknown: number;
  readonly unknownPrior: number;
  readonly secondFault: number;
  readonly signatureWorth: number;
  readonly temper: number;
} = {
  /** A sound riser, or a fault that does not bear on a variable, brings a symptom there this often: noise of report. */
  symptomByChance: 0.015,
  /** What the model does not know brings a symptom anywhere this often. */
  symptomUnknown: 0.2,
  /** The share of "something else" before anything is seen, against one fault of the catalogue. */
  unknownPrior: 0.3,
  /** A second, independent fault beside a first one, against that one alone. */
  secondFault: 0.02,
  /** A signature counts as much as so many played episodes. */
  signatureWorth: 3,
  /** What one fault brings twice is not twice the evidence: every likelihood is taken to this power. */
  temper: 0.4,
};

/** The probability of a value by chance: no fault that bears on it is at work. */
export const byChance = (variable: Variable, value: string, symptom: number): number =>
  isNormal(variable, value) ? 1 - symptom : symptom / (variables[variable].length - 1);

/** The probability of a value under one fault alone. */
export const likelihood = (cause: CauseId, variable: Variable, value: string): number =>
  table.get(cause)?.get(variable)?.get(value) ?? byChance(variable, value, figures.symptomByChance);

/** From this share on a symptom that no signature names counts as a fault's own (choice of this project). */
const ownSymptom = 0.3;

/**
 * Here only what a signature names explains anything: a fault that brought water while the valve was closed only after a
 * release of its story is no explanation of water without one.
 */
const byPhysicsAlone: ReadonlySet<Variable> = new Set<Variable>(['waterWhileClosed', 'isolated']);

/** A fault bears on a variable that its signature names, or where it brought symptoms often when it was played. */
export const bearsOn = (cause: CauseId, variable: Variable): boolean => {
  if (table.get(cause)?.has(variable) !== true) return false;
  const symptoms = 1 - likelihood(cause, variable, variables[variable][0]);
  if (signatureOf(cause)[variable] !== undefined) return symptoms >= 3 * figures.symptomByChance;
  return !byPhysicsAlone.has(variable) && symptoms >= ownSymptom;
};

/** A fault explains a symptom that its signature names, or that it brings several times more often than chance does. */
export function explains(cause: CauseId, variable: Variable, value: string): boolean {
  const named: Readonly<Record<string, number>> | undefined = signatureOf(cause)[variable];
  if (named?.[value] !== undefined && !isNormal(variable, value)) return true;
  if (byPhysicsAlone.has(variable)) return false;
  return (
    bearsOn(cause, variable) &&
    likelihood(cause, variable, value) >= 3 * byChance(variable, value, figures.symptomByChance)
  );
}

type Shares = ReadonlyMap<string, number>;

const signatureOf = (cause: CauseId): Signature => signatures.get(cause) ?? {};

const signatures: ReadonlyMap<CauseId, Signature> = new Map(
  causeIds.map((cause) => [
    cause,
    { ...supplyModes[cause], ...chamberModes[cause], ...outletModes[cause], ...panelModes[cause] },
  ]),
);

/** The shares of a signature over all values; what it leaves over is mostly the ordinary course. */
function spread(variable: Variable, shares: Readonly<Record<string, number>>): Shares {
  const normal = variables[variable][0];
  const unnamed = variables[variable].filter((value) => shares[value] === undefined);
  const left = 1 - Object.values(shares).reduce((sum, share) => sum + share, 0);
  const ordinary = unnamed.includes(normal) ? left * (1 - figures.symptomByChance) : 0;
  const odd = unnamed.filter((value) => value !== normal);
  return new Map(
    variables[variable].map((value): readonly [string, number] => [
      value,
      shares[value] ?? (value === normal ? (odd.length === 0 ? left : ordinary) : (left - ordinary) / odd.length),
    ]),
  );
}

const chances = (variable: Variable): Shares =>
  new Map(variables[variable].map((value) => [value, byChance(variable, value, figures.symptomByChance)]));

/** A signature as it stands after the played episodes (the mean of a Dirichlet posterior). */
function counted(prior: Shares, counts: Readonly<Record<string, number>>): Shares {
  const total = [...prior.keys()].reduce((sum, value) => sum + (counts[value] ?? 0), 0);
  return new Map(
    [...prior].map(([value, share]) => [
      value,
      (figures.signatureWorth * share + (counts[value] ?? 0)) / (figures.signatureWorth + total),
    ]),
  );
}

/**
 * Variables whose ordinary value is never observed as such: only a symptom is. An episode in which they were silent
 * counts as ordinary, or every fault that ever brought the symptom would seem to bring it always.
 */
const silentWhenOrdinary = new Set<Variable>([
  'waterWhileClosed',
  'chatter',
  'path',
  'clock',
  'releaseCircuit',
  'initiatingCircuit',
  'power',
  'disconnect',
  'names',
  'steps',
]);

const total = (counts: Readonly<Record<string, number>>): number =>
  Object.values(counts).reduce((sum, times) => sum + times, 0);

/** How often a fault brought each value of a variable when it was played. */
function timesOf(cause: CauseId, variable: Variable): Readonly<Record<string, number>> | undefined {
  const byVariable = played[cause];
  const counts = byVariable?.[variable];
  if (byVariable === undefined || !silentWhenOrdinary.has(variable)) return counts;
  const episodes = Math.max(0, ...Object.values(byVariable).map(total));
  return { ...counts, [variables[variable][0]]: episodes - total(counts ?? {}) };
}

function sharesOf(signature: Signature, variable: Variable, cause: CauseId): Shares | undefined {
  const named = signature[variable];
  const counts = timesOf(cause, variable);
  if (named === undefined && counts === undefined) return undefined;
  const prior = named === undefined ? chances(variable) : spread(variable, named);
  return counts === undefined ? prior : counted(prior, counts);
}

/** All likelihoods that differ from chance, worked out once. */
const table: ReadonlyMap<CauseId, ReadonlyMap<Variable, Shares>> = new Map(
  causeIds.map((cause) => {
    const signature = signatureOf(cause);
    return [
      cause,
      new Map(
        variableNames.flatMap((variable): (readonly [Variable, Shares])[] => {
          const shares = sharesOf(signature, variable, cause);
          return shares === undefined ? [] : [[variable, shares]];
        }),
      ),
    ];
  }),
);
