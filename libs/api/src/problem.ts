import * as z from 'zod';

/** Every reason for which a request is refused or fails: status and title. */
export const problemCodes = {
  'invalid-request': { status: 400, title: 'The request is not as described' },
  'missing-intent-header': { status: 403, title: 'The header that marks a deliberate request is missing' },
  'foreign-origin': { status: 403, title: 'The request comes from another site' },
  'not-logged-in': { status: 401, title: 'Nobody is logged in' },
  'wrong-name-or-password': { status: 401, title: 'The name or the password is wrong' },
  'wrong-token': { status: 403, title: 'The token of the session is missing or wrong' },
  'not-allowed': { status: 403, title: 'Your roles do not allow this' },
  'too-many-attempts': { status: 429, title: 'Too many attempts; try again later' },
  'link-not-valid': { status: 409, title: 'This link was used, has run out, or was never made' },
  'weak-password': { status: 400, title: 'The password is too easy to guess' },
  'unknown-user': { status: 404, title: 'You look after no such person' },
  'name-taken': { status: 409, title: 'That name belongs to somebody already' },
  'beyond-own-accounts': { status: 403, title: 'You may give roles at accounts you look after only' },
  'last-administrator': { status: 409, title: 'Nobody else could administer this station then' },
  'unknown-host': { status: 421, title: 'This station does not answer to that host name' },
  'unknown-route': { status: 404, title: 'There is nothing at this address' },
  'unknown-riser': { status: 404, title: 'No such riser is kept here' },
  'moment-not-reached': { status: 404, title: 'The journal has not reached that moment' },
  'no-such-finding': { status: 409, title: 'No such finding stands on this riser' },
  'no-such-alert': { status: 409, title: 'No such alert stands on this riser' },
  'may-not-be-shelved': { status: 409, title: 'An alert of this priority may not be shelved' },
  'shelved-too-long': { status: 409, title: 'An alert of this priority may be shelved for a shorter time only' },
  'no-such-check': { status: 409, title: 'No such check, or no such outcome of it' },
  'no-such-step': { status: 409, title: 'No such step is on the restoration list' },
  'nothing-to-end': { status: 409, title: 'There is nothing of that kind to end' },
  'already-declared': { status: 409, title: 'An impairment is declared already' },
  'body-too-large': { status: 413, title: 'The body is too large' },
  'unsupported-content-type': { status: 415, title: 'Only application/json is read' },
  'too-many-listeners': { status: 503, title: 'Too many pages listen already' },
  'journal-unavailable': { status: 503, title: 'The journal cannot be reached; nothing was recorded for certain' },
  'internal-fault': { status: 500, title: 'The station failed to answer' },
} as const;

/** The stable code of a problem. */
export type ProblemCode = keyof typeof problemCodes;

const codes = Object.keys(problemCodes) as [ProblemCode, ...ProblemCode[]];

/** A problem after RFC 9457; `code` is stable, `type` is the code as a URN. */
export const problem = z.object({
  type: z.string(),
  code: z.enum(codes),
  title: z.string(),
  status: z.number().int(),
  detail: z.string().optional(),
  issues: z
    .array(z.object({ path: z.string(), message: z.string() }))
    .optional()
    .meta({ description: 'What is wrong where, for `invalid-request`.' }),
});

/** A problem after RFC 9457. */
export type Problem = z.infer<typeof problem>;

/** The media type of a problem (RFC 9457, 3). */
export const problemContentType = 'application/problem+json';

/** Words a problem for the wire. */
export const problemOf = (code: ProblemCode, more: Pick<Problem, 'detail' | 'issues'> = {}): Problem => ({
  type: `urn:tidemark:problem:${code}`,
  code,
  ...problemCodes[code],
  ...more,
});
