import { z } from 'zod';

/** Runs a value through a schema chosen by its content, with the mistakes at their own keys as if it stood there alone. */
export function passOn<Schema extends z.ZodType>(
  schema: Schema,
  value: unknown,
  context: z.core.$RefinementCtx,
): z.output<Schema> {
  const parsed = schema.safeParse(value);
  if (parsed.success) return parsed.data;
  for (const issue of parsed.error.issues) context.issues.push({ ...issue, input: value } as z.core.$ZodRawIssue);
  return z.NEVER;
}

/**
 * A mapping whose meaning hangs on which one of several keys it has, such as a step's verb. A plain union would
 * report the mistakes of all its members; this reports those of the one that was meant.
 */
export const oneOf = <const Members extends Readonly<Record<string, z.ZodType>>>(what: string, members: Members) =>
  z.unknown().transform((value, context): z.output<Members[keyof Members]> => {
    const keys = Object.keys(members);
    const present = isMapping(value) ? keys.filter((key) => Object.hasOwn(value, key)) : [];
    const member = present.length === 1 ? members[present[0] ?? ''] : undefined;
    if (member !== undefined) return passOn(member, value, context) as z.output<Members[keyof Members]>;
    context.addIssue({ code: 'custom', message: `expected ${what} with exactly one of the keys ${keys.join(', ')}` });
    return z.NEVER;
  });

const isMapping = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);
