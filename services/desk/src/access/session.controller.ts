import type { ServerResponse } from 'node:http';
import type { Entry, WhoAmI } from '@tidemark/api';
import { routes } from '@tidemark/api';
import { Body, Controller, Get, HttpCode, Inject, Post, Req, Res } from '@nestjs/common';
import { formatInstant } from '@tidemark/kernel';
import type { z } from 'zod';
import { nestPath } from '../http/desk-address.ts';
import { Refused } from '../http/refused.ts';
import { ACCESS, DESK_PORTS, TRANSPORT } from '../http/tokens.ts';
import type { DeskPorts } from '../ports.ts';
import { isWell } from '../station-status.ts';
import type { Access } from './access.ts';
import { addressOf } from './client-address.ts';
import type { Refusal } from './front-desk.ts';
import type { Transport } from './session-cookie.ts';
import { cookieFor } from './session-cookie.ts';
import type { Session } from './sessions.ts';
import type { SeenRequest, Viewer } from './viewer.ts';
import { Who } from './viewer.ts';

type Body<Name extends 'logIn' | 'changePassword' | 'setPassword'> = z.infer<(typeof routes)[Name]['body']>;

/** Coming in and going out. */
@Controller()
export class SessionController {
  readonly #access: Access;
  readonly #ports: DeskPorts;
  readonly #transport: Transport;

  constructor(
    @Inject(ACCESS) access: Access,
    @Inject(DESK_PORTS) ports: DeskPorts,
    @Inject(TRANSPORT) transport: Transport,
  ) {
    this.#access = access;
    this.#ports = ports;
    this.#transport = transport;
  }

  @Get(nestPath(routes.getEntry))
  entry(): Entry {
    const { site, demoUsers } = this.#access;
    return { status: isWell(this.#ports) ? 'ok' : 'degraded', site, demoUsers: demoUsers.map((each) => ({ ...each })) };
  }

  @Post(nestPath(routes.logIn))
  @HttpCode(routes.logIn.answer.status)
  async logIn(
    @Body({ schema: routes.logIn.body }) { name, password }: Body<'logIn'>,
    @Req() request: SeenRequest,
    @Res({ passthrough: true }) response: ServerResponse,
  ): Promise<WhoAmI> {
    const came = await this.#access.frontDesk.logIn({ name, password, from: addressOf(request, this.#transport) });
    if (!came.ok) throw refused(came.failure, response);
    const { secret, session, user } = came.value;
    response.setHeader('set-cookie', cookieFor(request, this.#transport, secret));
    return this.#who(user, session);
  }

  @Get(nestPath(routes.whoAmI))
  whoAmI(@Who() viewer: Viewer): WhoAmI {
    return this.#who(viewer, viewer.session);
  }

  @Post(nestPath(routes.logOut))
  @HttpCode(routes.logOut.answer.status)
  logOut(
    @Who() { session }: Viewer,
    @Req() request: SeenRequest,
    @Res({ passthrough: true }) response: ServerResponse,
  ): { readonly done: true } {
    this.#access.frontDesk.sessions.end(session.id);
    response.setHeader('set-cookie', cookieFor(request, this.#transport, undefined));
    return { done: true };
  }

  @Post(nestPath(routes.changePassword))
  @HttpCode(routes.changePassword.answer.status)
  async changePassword(
    @Who() { name, session }: Viewer,
    @Body({ schema: routes.changePassword.body }) { current, password }: Body<'changePassword'>,
    @Req() request: SeenRequest,
    @Res({ passthrough: true }) response: ServerResponse,
  ): Promise<{ readonly done: true }> {
    const attempt = { name, password: current, from: addressOf(request, this.#transport) };
    const changed = await this.#access.frontDesk.changePassword(attempt, password, session);
    if (!changed.ok) throw refused(changed.failure, response);
    return { done: true };
  }

  @Post(nestPath(routes.setPassword))
  @HttpCode(routes.setPassword.answer.status)
  async setPassword(
    @Body({ schema: routes.setPassword.body }) { token, password }: Body<'setPassword'>,
    @Res({ passthrough: true }) response: ServerResponse,
  ): Promise<{ readonly name: string }> {
    const set = await this.#access.frontDesk.redeem(token, password);
    if (!set.ok) throw refused(set.failure, response);
    return { name: set.value };
  }

  #who({ name, grants }: Pick<Viewer, 'name' | 'grants'>, { token, endsAt }: Session): WhoAmI {
    return { name, grants: [...grants], token, endsAt: formatInstant(endsAt), site: this.#access.site };
  }
}

function refused({ code, wait_ms, detail }: Refusal, response: ServerResponse): Refused {
  if (wait_ms === undefined) return new Refused(code, detail === undefined ? {} : { detail });
  const wait_s = Math.ceil(wait_ms / 1_000);
  response.setHeader('retry-after', String(wait_s));
  return new Refused(code, { detail: `Try again in ${String(wait_s)} s.` });
}
