import type { CauseId } from '@tidemark/words';
import { checks } from './checks.ts';

/** What checks on site found, by the check's id. */
export type Answers = ReadonlyMap<string, string>;

/** People look at the wrong valve now and then: this share of answers is wrong (choice of this project). */
const mistaken = 0.05;

/** The outcomes a check may have; none for an id that is not one. */
export const answersOf = (id: string): readonly string[] =>
  Object.keys(checks.find((check) => check.id === id)?.outcomes ?? {});

/**
 * How likely the answers are if these causes are at work together (none: something the model does not know). A cause
 * that a check does not touch may bring any of its outcomes.
 */
export function answerLikelihood(answers: Answers, causes: readonly CauseId[]): number {
  let product = 1;
  for (const [id, found] of answers) {
    const outcomes = checks.find((check) => check.id === id)?.outcomes;
    if (outcomes?.[found] === undefined) continue;
    const count = Object.keys(outcomes).length;
    const touched = causes.filter((cause) => Object.values(outcomes).some((each) => each.includes(cause)));
    const brings = touched.some((cause) => outcomes[found]?.includes(cause));
    product *=
      touched.length === 0 ? 1 / Math.max(count, 2) : brings ? 1 - mistaken : mistaken / Math.max(count - 1, 1);
  }
  return product;
}
