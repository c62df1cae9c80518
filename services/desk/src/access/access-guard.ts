import type { ServerResponse } from 'node:http';
import type { Accounts, Route } from '@tidemark/api';
import { accountsWith, isAmong, roles, tokenHeader } from '@tidemark/api';
import type { CanActivate, ExecutionContext } from '@nestjs/common';
import { invariant } from '@tidemark/kernel';
import { Refused } from '../http/refused.ts';
import type { Access } from './access.ts';
import type { Handler } from './route-of.ts';
import { routeOf } from './route-of.ts';
import { isSame } from './secrets.ts';
import type { Transport } from './session-cookie.ts';
import { secretIn } from './session-cookie.ts';
import type { Session } from './sessions.ts';
import type { SeenRequest } from './viewer.ts';

interface GuardedRequest extends SeenRequest {
  readonly params: Readonly<Record<string, string>>;
}

/**
 * Stands before every method of every controller: who asks, and whether the route table lets that person. Before
 * anything is read or looked up, so that what belongs to another account and what does not exist take the same way.
 */
export class AccessGuard implements CanActivate {
  readonly #access: Access;
  readonly #transport: Transport;

  constructor(access: Access, transport: Transport) {
    this.#access = access;
    this.#transport = transport;
  }

  canActivate(context: ExecutionContext): boolean {
    const route = routeOf(context.getHandler() as Handler);
    invariant(route !== undefined, 'only what the route table knows is answered');
    if (route.access.who === 'anyone') return true;
    const request = context.switchToHttp().getRequest<GuardedRequest>();
    const session = this.#sessionOf(request);
    const user = session === undefined ? undefined : this.#access.frontDesk.whoIs(session);
    if (session === undefined || user === undefined) {
      // RFC 9110, 15.5.2, wants a challenge; this one makes no browser ask for a password of its own.
      context.switchToHttp().getResponse<ServerResponse>().setHeader('www-authenticate', 'Session realm="tidemark"');
      throw new Refused('not-logged-in');
    }
    if (route.method !== 'get') checkToken(request, session);
    const { name, grants } = user;
    const accounts = allowed(route, accountsFor(route, grants), request, grants);
    request.viewer = { name, grants, accounts, session };
    return true;
  }

  #sessionOf(request: GuardedRequest): Session | undefined {
    const secret = secretIn(request, this.#transport);
    return secret === undefined ? undefined : this.#access.frontDesk.sessions.find(secret);
  }
}

type Grants = Parameters<typeof accountsWith>[0];

const accountsFor = ({ access: { who } }: Route, grants: Grants): Accounts =>
  accountsWith(grants, who === 'anyone' || who === 'logged-in' ? roles : who);

/** Whoever has no role at the account of a riser is told what is told of a riser that is not there. */
function allowed({ access }: Route, accounts: Accounts, { params }: GuardedRequest, grants: Grants): Accounts {
  if (access.who === 'anyone' || access.who === 'logged-in') return accounts;
  const account = params['account'] ?? '';
  if (access.at === 'riser' && !isAmong(accountsWith(grants, roles), account)) throw new Refused('unknown-riser');
  const isAllowed = access.at === 'riser' ? isAmong(accounts, account) : accounts === 'all' || accounts.size > 0;
  if (!isAllowed) throw new Refused('not-allowed');
  return accounts;
}

function checkToken({ headers }: GuardedRequest, { token }: Session): void {
  const given = headers[tokenHeader];
  if (typeof given !== 'string' || !isSame(given, token)) throw new Refused('wrong-token');
}
