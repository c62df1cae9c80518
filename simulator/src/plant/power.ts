/**
 * x^1.85 from square roots alone, which IEEE 754 rounds exactly, so that every machine computes the same bits; Math.pow
 * is not required to. The exponent is cut after 17 binary digits (1.8499985): 1.5e-6 |ln x| of relative error, and the
 * callers scale x to about 1.
 */
export function power185(x: number): number {
  if (x <= 0) return 0;
  const r1 = Math.sqrt(x);
  const r2 = Math.sqrt(r1);
  const r4 = Math.sqrt(Math.sqrt(r2));
  const r5 = Math.sqrt(r4);
  const r8 = Math.sqrt(Math.sqrt(Math.sqrt(r5)));
  const r9 = Math.sqrt(r8);
  const r12 = Math.sqrt(Math.sqrt(Math.sqrt(r9)));
  const r13 = Math.sqrt(r12);
  const r16 = Math.sqrt(Math.sqrt(Math.sqrt(r13)));
  return x * r1 * r2 * r4 * r5 * r8 * r9 * r12 * r13 * r16 * Math.sqrt(r16);
}

/**
 * A derived constant to nine digits. What is computed once with pow, exp or sin may differ in the last bit between
 * machines; nine digits keep such a difference out of the state.
 */
export const stable = (value: number): number => (Number.isFinite(value) ? Number(value.toPrecision(9)) : value);
