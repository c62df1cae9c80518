import type { EventReference } from '@tidemark/riser';
import type { Facts } from './facts.ts';
import type { FindingCode, Severity } from '@tidemark/words';
import type { Instant } from '@tidemark/kernel';

/** What a person is told of a condition. */
export interface Statement {
  readonly explanation: string;
  readonly advice: string;
  readonly caution: string;
}

/**
 * Something that cannot be right, or is overdue, as it follows from the story: it speaks from `dueAt` on, on the
 * station's clock, for as long as the story says so. A condition is no event: it is worked out anew with every change.
 */
export interface Condition {
  readonly code: FindingCode;
  /** The occasion: with the code it is the finding's identity, so that one occasion is raised once. */
  readonly occasion: string;
  readonly dueAt_ms: number;
  /** It falls silent by itself at this moment. */
  readonly untilAt_ms?: number;
  readonly severity: Severity;
  readonly evidence: readonly EventReference[];
  readonly window?: { readonly from: Instant; readonly to: Instant };
  /** Whether it rests on a signal that did not come: then a stale link is among its causes. */
  readonly absence: boolean;
  /** What makes it worth telling anew, where that is not its evidence: a clock that stays wrong is no news with every signal. */
  readonly gist?: string;
  /** Which of several like situations it is, for the choice of causes. */
  readonly variant?: string;
  readonly say: () => Statement;
}

/** One code's condition over the facts. Pure; returns none where the riser lacks a point it needs. */
export type Rule = (facts: Facts) => readonly Condition[];
