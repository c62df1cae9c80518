import { parseQuantity } from '@tidemark/kernel';
import { z } from 'zod';

/** A measured value as a panel sends it: a number and the unit beside it. */
export interface Measured {
  readonly value: number;
  readonly unit: string;
}

/** `92 psi` as value and unit, kept apart as on the wire. */
export const measured = z
  .string({ error: 'expected a value with its unit such as "92 psi"' })
  .transform((text, context): Measured => {
    const [, value, unit] = /^\s*(\S+)\s+(\S+)\s*$/.exec(text) ?? [];
    if (parseQuantity(text).ok && value !== undefined && unit !== undefined) return { value: Number(value), unit };
    context.addIssue({ code: 'custom', message: 'expected a value with its unit such as "92 psi"' });
    return z.NEVER;
  });
