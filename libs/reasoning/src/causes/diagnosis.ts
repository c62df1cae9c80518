import type { EventReference } from '@tidemark/riser';
import type { CauseId } from '@tidemark/words';
import type { CauseGroup } from '../finding.ts';
import { checkAsked } from './best-check.ts';
import { byChance, explains, figures, likelihood } from './likelihoods.ts';
import { sayings } from './sayings.ts';
import type { Observations, Observed, Variable } from './variables.ts';
import { variableNames } from './variables.ts';

/** Something observed that makes a group of causes likelier or less likely than the others. */
export interface Argument {
  readonly says: string;
  readonly evidence: readonly EventReference[];
}

/** A group of causes with what speaks for and against it, and the check with what its outcomes would mean. */
export interface ArguedGroup extends CauseGroup {
  readonly for: readonly Argument[];
  readonly against: readonly Argument[];
  /** What the check is answered by; empty where none of the known checks fits. */
  readonly checkId: string;
  readonly outcomes: readonly { readonly found: string; readonly means: readonly CauseId[] }[];
}

/** From this ratio on something observed is an argument (choice of this project: twice as likely). */
const telling = 2;

/** Says why the groups of a finding are ranked as they are, each sentence with its events. */
export function argued(groups: readonly CauseGroup[], observed: Observations): readonly ArguedGroup[] {
  return groups.map((group) => {
    const others = groups.filter((each) => each !== group).flatMap(({ causes }) => causes);
    const speaking: Argument[] = [];
    const contradicting: Argument[] = [];
    for (const variable of variableNames) {
      const found = observed[variable];
      if (found === undefined) continue;
      const ratio =
        meanLikelihood(group.causes, variable, found.value) / rivalLikelihood(others, variable, found.value);
      if (ratio >= telling) speaking.push(argument(variable, found));
      else if (ratio <= 1 / telling && !isExplained(group, variable, found.value))
        contradicting.push(argument(variable, found));
    }
    const check = checkAsked(group.check);
    return {
      ...group,
      checkId: check?.id ?? '',
      for: speaking,
      against: contradicting,
      outcomes: Object.entries(check?.outcomes ?? {}).map(([found, causes]) => ({
        found,
        means: causes.filter((cause) => groups.some((each) => each.causes.includes(cause))),
      })),
    };
  });
}

function argument(variable: Variable, { value, evidence }: Observed): Argument {
  const said: Readonly<Record<string, string>> = sayings[variable];
  return { says: said[value] ?? '', evidence };
}

const meanLikelihood = (causes: readonly CauseId[], variable: Variable, value: string): number =>
  causes.reduce((sum, cause) => sum + likelihood(cause, variable, value), 0) / causes.length;

/** What the other groups make of it; where there is none, what chance would. */
const rivalLikelihood = (others: readonly CauseId[], variable: Variable, value: string): number =>
  others.length === 0 ? byChance(variable, value, figures.symptomByChance) : meanLikelihood(others, variable, value);

/** What a group explains never speaks against it, however much better another one does. */
const isExplained = ({ causes }: CauseGroup, variable: Variable, value: string): boolean =>
  causes.some((cause) => explains(cause, variable, value));
