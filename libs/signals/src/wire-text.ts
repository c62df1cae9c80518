import { parseInstant } from '@tidemark/kernel';
import type { Instant } from '@tidemark/kernel';
import { z } from 'zod';
import { namePattern } from './topics.ts';

/**
 * Half of a surrogate pair alone is refused everywhere: it has no UTF-8, so it could not be kept as it came.
 * Written with pairs spelled out, the patterns mean the same with and without the `u` flag, so that JSON Schema
 * validators of either kind count characters alike.
 */
const pair = String.raw`[\ud800-\udbff][\udc00-\udfff]`;

/** Any text of at most `maximum` characters (code points). */
export const textOfAtMost = (maximum: number) =>
  z.string().regex(new RegExp(String.raw`^(?:[^\ud800-\udfff]|${pair}){0,${maximum}}$`), {
    error: `expected text of at most ${maximum} characters, without half a surrogate pair`,
  });

/** CloudEvents sets no length; this project does, so that identities stay indexable. */
const maximumAttribute_characters = 1_024;

/** A CloudEvents string attribute: not empty, no control characters, no half of a surrogate pair (CloudEvents 1.0, "Type System"). */
export const attributeText = z
  .string()
  .regex(
    new RegExp(String.raw`^(?:[^\u0000-\u001f\u007f-\u009f\ud800-\udfff]|${pair}){1,${maximumAttribute_characters}}$`),
    { error: `expected 1 to ${maximumAttribute_characters} characters without control characters` },
  );

/** A URI reference by its alphabet (RFC 3986, 2 and 4.1), which is what `source` must be; all of it is ASCII. */
export const uriReference = z
  .string()
  .max(maximumAttribute_characters)
  .regex(/^(?:[A-Za-z0-9\-._~:/?#[\]@!$&'()*+,;=]|%[0-9A-Fa-f]{2})+$/, {
    error: 'expected a URI reference such as "/quayside-cold-store/panel-2"',
  });

/** RFC 3339 with offset or `Z`, as the kernel reads it. JSON Schema can only say `date-time`. */
export const wireTime = z
  .string()
  .meta({ format: 'date-time' })
  .transform((text, context): Instant => {
    const at = parseInstant(text);
    if (at.ok) return at.value;
    context.issues.push({ code: 'custom', input: text, message: malformedTime });
    return z.NEVER;
  });

const malformedTime = 'expected an RFC 3339 time with offset such as "2026-03-02T08:14:07.120Z"';

/** An account's or a riser's name. */
export const wireName = z.string().regex(namePattern, {
  error: 'expected 1 to 63 of a-z, 0-9 and "-", not starting with "-"',
});
