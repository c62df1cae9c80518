import type { Instant } from '@tidemark/kernel';
import { argued } from './causes/diagnosis.ts';
import type { ArguedGroup } from './causes/diagnosis.ts';
import { observe } from './causes/observe.ts';
import type { Observations } from './causes/variables.ts';
import { holdingAt } from './twin.ts';
import type { Twin } from './twin.ts';

/** The causes of one standing finding, argued. */
export interface Diagnosis {
  readonly finding: string;
  readonly groups: readonly ArguedGroup[];
}

/** What was observed of the present episode, as of a moment not before the last event. */
export function observationsOf(twin: Twin, now: Instant): Observations {
  return observe(twin.facts, holdingAt(twin.conditions, now));
}

/** Why the causes of each standing finding are ranked as they are, as of a moment not before the last event. */
export function diagnosisOf(twin: Twin, now: Instant): readonly Diagnosis[] {
  const observed = observationsOf(twin, now);
  return [...twin.ledger.values()].map(({ finding }) => ({
    finding: finding.id,
    groups: argued(finding.causes, observed),
  }));
}
