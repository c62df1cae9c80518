import { fail, ok } from '@tidemark/kernel';
import type { Instant, Result } from '@tidemark/kernel';
import { describeIssue, reportInput } from './describe-issue.ts';
import { linkPayload } from './link-schema.ts';
import { refusal } from './rejection.ts';
import type { Refusal } from './rejection.ts';
import type { RiserKey } from './signal.ts';

/** What a link message says. */
export interface Link {
  readonly key: RiserKey;
  readonly link: 'up' | 'down';
  /** A new session may start its sequence anew. */
  readonly session?: string;
  /** The panel's clock. */
  readonly time?: Instant;
}

/** Reads parsed JSON as a link message of the riser whose topic it came on. */
export function readLink(value: unknown, key: RiserKey): Result<Link, Refusal> {
  const parsed = linkPayload.safeParse(value, reportInput);
  if (!parsed.success) {
    const [issue] = parsed.error.issues;
    return fail(refusal('malformed-link', issue === undefined ? 'Expected a link message.' : describeIssue(issue)));
  }
  const { link, session, time } = parsed.data;
  return ok({
    key,
    link,
    ...(session === undefined ? {} : { session }),
    ...(time === undefined ? {} : { time }),
  });
}
