import type { Instant } from '@tidemark/kernel';
import type { Phase, Profile, RiserEvent, RiserState } from '@tidemark/riser';
import { evolve, initialRiser } from '@tidemark/riser';
import type { Finding } from './finding.ts';

/** What one step made known. */
export type Output =
  | { readonly type: 'phase-changed'; readonly phase: Phase; readonly at: Instant }
  | { readonly type: 'finding'; readonly finding: Finding };

/** A riser with its reasoning. */
export interface Twin {
  readonly riser: RiserState;
}

export const initialTwin = (profile: Profile, now: Instant): Twin => ({ riser: initialRiser(profile, now) });

/** Folds one event and says what became known by it. */
export function step(twin: Twin, event: RiserEvent): { readonly twin: Twin; readonly outputs: readonly Output[] } {
  return { twin: { riser: evolve(twin.riser, event) }, outputs: [] };
}

/** When the twin next has something to say though nothing is heard; then a `time-reached` event is due. */
export const nextDeadline = (_twin: Twin): Instant | undefined => undefined;
