import type { SignalData } from '@tidemark/signals';
import { holding } from './holds.ts';
import type { Said } from './delivery.ts';
import type { LinkTrouble } from './trouble.ts';

/** What a suppressing receiver remembers of a point: when it became active lately, and whether it is muted. */
interface PointHistory {
  readonly activations_s: readonly number[];
  readonly muted: boolean;
}

/** The memory of every point, by its signal and number. */
export type Histories = ReadonlyMap<string, PointHistory>;

/** Activations remembered of a point: more than any suppression counts. */
const remembered = 64;

const pointOf = ({ point, signal }: SignalData): string => `${signal}/${point ?? ''}`;

/** Whether what was said is not forwarded, and what is remembered after it. */
export function withhold(
  histories: Histories,
  said: Said,
  troubles: readonly LinkTrouble[],
): { readonly withheld: boolean; readonly histories: Histories } {
  const { at_s, data } = said;
  if (!('state' in data) || data.signal === 'periodic-test') return { withheld: false, histories };
  const after = heard(histories.get(pointOf(data)), said, troubles);
  const unsent = data.state === 'restored' && holding(troubles, 'restorals-withheld', at_s).length > 0;
  return { withheld: unsent || after.muted, histories: new Map(histories).set(pointOf(data), after) };
}

/** A point is muted by an activation too many and heard again with the first one after calm. Its restorals share its fate. */
function heard(before: PointHistory | undefined, { at_s, data }: Said, troubles: readonly LinkTrouble[]): PointHistory {
  const { activations_s: earlier_s, muted } = before ?? { activations_s: [], muted: false };
  if (!('state' in data) || data.state !== 'active') return { activations_s: earlier_s, muted };
  const activations_s = [...earlier_s, at_s].slice(-remembered);
  const tooMany = holding(troubles, 'repeats-withheld', at_s).some(({ after, from_s, within_s }) => {
    const lately = activations_s.filter((when_s) => when_s >= from_s && when_s > at_s - within_s);
    return lately.length > after;
  });
  return { activations_s, muted: tooMany };
}
