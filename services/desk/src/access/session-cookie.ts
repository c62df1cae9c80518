import type { IncomingMessage } from 'node:http';

/** How the desk is reached: as it is on this machine, by its own TLS, or through a proxy that speaks TLS. */
export type Transport = 'plain' | 'tls' | 'behind-tls';

/**
 * The cookie's name. `__Host-` lets a browser take it only from this very host, over TLS, for the whole of it (RFC 6265bis,
 * 4.1.3.2). Without TLS, on this machine, browsers share cookies between ports, so the port tells two stations apart.
 */
const nameOf = (transport: Transport, { socket }: IncomingMessage): string =>
  transport === 'plain' ? `tidemark-session-${String(socket.localPort)}` : '__Host-tidemark-session';

/** The session's secret as the browser sent it. */
export function secretIn(request: IncomingMessage, transport: Transport): string | undefined {
  const name = nameOf(transport, request);
  const found = (request.headers.cookie ?? '').split('; ').filter((each) => each.startsWith(`${name}=`));
  // Two of the same name: one of them was put there by somebody else.
  return found.length === 1 ? found[0]?.slice(name.length + 1) : undefined;
}

/** Sets the cookie, or takes it away where there is no secret. It ends with the browser; the session ends sooner by itself. */
export function cookieFor(request: IncomingMessage, transport: Transport, secret: string | undefined): string {
  const attributes = ['Path=/', 'HttpOnly', 'SameSite=Strict', ...(transport === 'plain' ? [] : ['Secure'])];
  const value = secret === undefined ? ['Max-Age=0'] : [];
  return [`${nameOf(transport, request)}=${secret ?? ''}`, ...value, ...attributes].join('; ');
}
