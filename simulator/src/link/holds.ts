import { invariant } from '@tidemark/kernel';
import type { Random } from '@tidemark/kernel';
import type { LinkTrouble, LinkTroubleKind, Which } from './trouble.ts';

/** Whether a trouble holds at a moment: its beginning is in it, its end is not. */
export const holds = ({ from_s, until_s = Infinity }: LinkTrouble, at_s: number): boolean =>
  from_s <= at_s && at_s < until_s;

/** The troubles of a kind that hold at a moment. */
export const holding = <Kind extends LinkTroubleKind['kind']>(
  troubles: readonly LinkTrouble[],
  kind: Kind,
  at_s: number,
): readonly Extract<LinkTrouble, { readonly kind: Kind }>[] =>
  troubles.filter(
    (trouble): trouble is Extract<LinkTrouble, { readonly kind: Kind }> =>
      trouble.kind === kind && holds(trouble, at_s),
  );

/** Whether a trouble strikes the signal of this number, counted from 1 over the whole run. */
export function strikes(which: Which, number: number, random: Random): boolean {
  if ('every' in which) return number % which.every === 0;
  return random.next() < which.share;
}

/** Refuses a trouble that could not happen. */
export function checkTrouble(trouble: LinkTrouble): void {
  const { from_s, until_s = Infinity } = trouble;
  invariant(from_s <= until_s, 'a trouble begins before it ends');
  if ('which' in trouble) {
    const { which } = trouble;
    if ('every' in which) invariant(Number.isInteger(which.every) && which.every >= 1, 'each n-th is a whole number');
    else invariant(which.share >= 0 && which.share <= 1, 'a share is between 0 and 1');
  }
  if ('by_s' in trouble) invariant(trouble.by_s >= 0, 'a message arrives after it was sent');
}
