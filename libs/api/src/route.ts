import type * as z from 'zod';
import type { RouteAccess } from './access-rules.ts';
import { readers } from './access-rules.ts';
import type { ProblemCode } from './problem.ts';

/** The header every unsafe request carries: a form or a link of another site cannot set it. Any value will do. */
export const intentHeader = 'x-tidemark-intent';

/** The header in which every unsafe request of a session carries the session's token, as `whoAmI` told it. */
export const tokenHeader = 'x-tidemark-token';

/** The largest body that is read. A choice of this project: a command is a few hundred bytes. */
export const bodyLimit_bytes = 16_384;

/** One entry of the route table: what both sides know of an address. */
export interface Route {
  readonly method: 'get' | 'post';
  /** With path parameters in braces, as OpenAPI writes them. */
  readonly path: string;
  readonly summary: string;
  /** Who may use it. There is no default: a route without a rule does not compile. */
  readonly access: RouteAccess;
  readonly params?: z.ZodObject;
  readonly query?: z.ZodObject;
  readonly body?: z.ZodType;
  readonly answer: {
    readonly status: 200 | 201;
    readonly contentType: 'application/json' | 'text/event-stream' | 'text/csv' | 'application/x-ndjson';
    /** Absent where the answer is not one JSON value. */
    readonly schema?: z.ZodType;
    readonly description: string;
  };
  readonly problems: readonly ProblemCode[];
}

/** An answer of one JSON value. */
export const json = <Schema extends z.ZodType>(schema: Schema, description: string) =>
  ({ status: 200, contentType: 'application/json', schema, description }) as const;

/** Nobody needs to be logged in. */
export const anyone = { who: 'anyone' } as const;
/** Whoever is logged in. */
export const loggedIn = { who: 'logged-in' } as const;
/** Whoever has a role at the account in the path. */
export const atTheRiser = { who: readers, at: 'riser' } as const;
/** Whoever has a role anywhere; the answer holds what lies there. */
export const atTheirAccounts = { who: readers, at: 'accounts' } as const;
/** Whoever administers an account. */
export const administrators = { who: ['administrator'], at: 'accounts' } as const;

/** What any request that changes something may be refused for. */
export const unsafe = [
  'invalid-request',
  'missing-intent-header',
  'foreign-origin',
  'body-too-large',
  'unsupported-content-type',
] as const;
