import { factsOf } from './facts.ts';
import { outOfOrder } from './late-arrival.ts';
import { allParts } from './parts.ts';
import { conditionsOf, judgeRules } from './rules/all.ts';
import { spansOf } from './spans.ts';
import { holdingAt } from './twin.ts';
import type { Twin } from './twin.ts';

/** What of a twin is stored: all but what the reasoning works out from the rest. */
export type StoredTwin = Omit<Twin, 'facts' | 'byRule' | 'conditions' | 'holding'>;

/** A twin as a value without functions, to be stored. */
export function storeTwin({
  riser,
  ledger,
  alerts,
  phase,
  phaseSince,
  learned,
  lesson,
  lates,
  next,
}: Twin): StoredTwin {
  return {
    riser,
    ledger,
    alerts: { book: alerts.book, seen: undefined },
    phase,
    phaseSince,
    learned,
    lesson,
    lates,
    next,
  };
}

/** The twin that was stored: the reasoning works out the rest again. */
export function restoreTwin(stored: StoredTwin): Twin {
  const { picture, sources, now } = stored.riser;
  const facts = factsOf(picture, sources, spansOf(picture.profile, stored.lesson.before));
  const byRule = judgeRules(facts, [], allParts);
  const conditions = [...conditionsOf(facts, byRule), ...outOfOrder(stored.lates, facts)];
  return { ...stored, facts, byRule, conditions, holding: holdingAt(conditions, now) };
}
