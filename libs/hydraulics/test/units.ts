import { parseQuantity } from '@tidemark/kernel';

/** A published figure in the unit it was printed in, as SI. */
export function si(text: string): number {
  const parsed = parseQuantity(text);
  if (!parsed.ok) throw new Error(`not a quantity: ${text}`);
  return parsed.value.si;
}

/** How far a value is from the one it should have, as a share of the latter. */
export const departure = (value: number, expected: number): number => Math.abs(value - expected) / Math.abs(expected);
