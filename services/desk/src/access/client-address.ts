import type { IncomingMessage } from 'node:http';
import type { Transport } from './session-cookie.ts';

/**
 * The address a request comes from. Behind a proxy it is what the proxy added itself, the last entry: whatever stands
 * before it the client could have written.
 */
export function addressOf({ headers, socket }: IncomingMessage, transport: Transport): string {
  const forwarded = transport === 'behind-tls' ? headers['x-forwarded-for'] : undefined;
  const last = (Array.isArray(forwarded) ? forwarded.join() : forwarded)?.split(',').at(-1)?.trim();
  return last === undefined || last === '' ? (socket.remoteAddress ?? 'unknown') : last;
}
