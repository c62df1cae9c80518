import { parseDuration_ms } from '@tidemark/kernel';
import { z } from 'zod';

/** `90s`, `10m 30s`, `250ms` or `PT1M30S` as milliseconds; several parts add up. */
function spanOf(text: string): number | undefined {
  const parts = text.trim().split(/\s+/).map(parseDuration_ms);
  if (parts.length > maximumParts || parts.some((part) => !part.ok)) return undefined;
  return parts.reduce((sum, part) => sum + (part.ok ? part.value : 0), 0);
}

/** Days, hours, minutes, seconds and milliseconds: more parts say nothing new. */
const maximumParts = 5;

/** A length of time, in ms. */
export const span = z
  .string({ error: 'expected a length of time such as "90s" or "10m 30s"' })
  .transform(
    (text, context) => spanOf(text) ?? refuse(context, 'expected a length of time such as "90s" or "10m 30s"'),
  );

/** A length of time that may be negative, such as a clock that is behind, in ms. */
export const shift = z.string({ error: 'expected a shift such as "+90s" or "-90s"' }).transform((text, context) => {
  const ms = spanOf(text.replace(/^[+-]/, ''));
  if (ms === undefined) return refuse(context, 'expected a shift such as "+90s" or "-90s"');
  return text.startsWith('-') ? -ms : ms;
});

/** When something is: from the beginning of the story, or from the step before it where it begins with `+`. */
export interface When {
  readonly from: 'begin' | 'before';
  readonly ms: number;
}

/** `10m 30s` from the beginning, or `+2s` from the step before. */
export const when = z
  .string({ error: 'expected a time such as "10m 30s" from the beginning, or "+2s" from the step before' })
  .transform((text, context): When => {
    const ms = spanOf(text.replace(/^\+/, ''));
    if (ms !== undefined) return { from: text.startsWith('+') ? 'before' : 'begin', ms };
    return refuse(context, 'expected a time such as "10m 30s" from the beginning, or "+2s" from the step before');
  });

/** A stretch of the story in which something is expected, in ms from its beginning, both ends included. */
export interface Stretch {
  readonly from_ms: number;
  readonly to_ms: number;
}

/** How far a single expected time may be off: nobody writes milliseconds, and transmission takes some. */
const tolerance_ms = 1_000;

const betweenTwo = z
  .tuple([span, span], { error: 'expected a time, or two as [from, to]' })
  .refine(([from_ms, to_ms]) => from_ms <= to_ms, { error: 'expected the earlier time first' })
  .transform(([from_ms, to_ms]): Stretch => ({ from_ms, to_ms }));

/** One time, met within a second, or `[from, to]`. */
export const stretch = z.union(
  [span.transform((ms): Stretch => ({ from_ms: ms - tolerance_ms, to_ms: ms + tolerance_ms })), betweenTwo],
  { error: 'expected a time such as "10m 30s", or two as [from, to]' },
);

/** Reports a mistake in place of a value. */
export function refuse(context: z.RefinementCtx, message: string): never {
  context.addIssue({ code: 'custom', message });
  return z.NEVER;
}
