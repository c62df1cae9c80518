import type { IncomingMessage, ServerResponse } from 'node:http';
import type { ProblemCode } from '@tidemark/api';
import { intentHeader, problemOf } from '@tidemark/api';
import type { Transport } from '../access/session-cookie.ts';
import { sendProblem } from './problem-filter.ts';

/**
 * What every answer says to a browser: only the station's own files, no script in the page, no frame around it, no
 * address handed on. The list follows the OWASP secure headers project (from memory).
 */
export const securityHeaders: Readonly<Record<string, string>> = {
  'content-security-policy':
    "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self'; connect-src 'self'; " +
    "manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
  'x-content-type-options': 'nosniff',
  'x-frame-options': 'DENY',
  'referrer-policy': 'no-referrer',
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-resource-policy': 'same-origin',
  'permissions-policy': 'camera=(), geolocation=(), microphone=(), payment=(), usb=()',
};

/** Over TLS a browser is to come back over TLS only, for a year (RFC 6797; the year is the OWASP project's, from memory). */
const overTls: Readonly<Record<string, string>> = { 'strict-transport-security': 'max-age=31536000' };

const safeMethods = new Set(['GET', 'HEAD', 'OPTIONS']);

/**
 * Every request passes here first. The browser of whoever is logged in is the way in from outside: a foreign page may
 * post to this address, or let its own name resolve to it. So the host must be ours, and what changes something must
 * come from our page and carry a header that no form can set. The guard asks for the session's token besides.
 */
export function frontDoor(hosts: readonly string[], transport: Transport) {
  const headers = { ...securityHeaders, ...(transport === 'plain' ? {} : overTls) };
  const scheme = transport === 'plain' ? 'http' : 'https';
  const known = new Set(hosts.map((host) => host.toLowerCase()));
  return (request: IncomingMessage, response: ServerResponse, proceed: () => void): void => {
    for (const [name, value] of Object.entries(headers)) response.setHeader(name, value);
    if (/^\/api\//i.test(request.url ?? '')) response.setHeader('cache-control', 'no-store');
    const refusal = refusalOf(request, known, scheme);
    if (refusal === undefined) proceed();
    else sendProblem(response, problemOf(refusal));
  };
}

function refusalOf(request: IncomingMessage, hosts: ReadonlySet<string>, scheme: string): ProblemCode | undefined {
  if (!hosts.has(hostName(request.headers.host))) return 'unknown-host';
  if (safeMethods.has(request.method ?? 'GET')) return undefined;
  if (isForeign(request, scheme)) return 'foreign-origin';
  if (request.headers[intentHeader] === undefined) return 'missing-intent-header';
  return isJson(request.headers['content-type']) ? undefined : 'unsupported-content-type';
}

/** The name without the port: `localhost`, `127.0.0.1`, `[::1]`. */
const hostName = (host: string | undefined): string => (host ?? '').toLowerCase().replace(/:\d+$/, '');

/** A browser names the page a request comes from; a program at a terminal does not, and is let in. */
function isForeign({ headers }: IncomingMessage, scheme: string): boolean {
  const site = headers['sec-fetch-site'];
  if (site !== undefined && site !== 'same-origin' && site !== 'none') return true;
  return headers.origin !== undefined && headers.origin !== `${scheme}://${headers.host ?? ''}`;
}

const isJson = (contentType: string | undefined): boolean => /^application\/json\s*(;|$)/i.test(contentType ?? '');
