import type { ServerResponse } from 'node:http';
import type { Health, QuarantinePage } from '@tidemark/api';
import { accountsWith, isAmong, openApi, routes } from '@tidemark/api';
import { Controller, Get, Headers, Inject, Query, Res } from '@nestjs/common';
import { formatInstant } from '@tidemark/kernel';
import type { Access } from '../access/access.ts';
import type { Viewer } from '../access/viewer.ts';
import { Who } from '../access/viewer.ts';
import { positionsFor } from '../access/wire-positions.ts';
import type { Session } from '../access/sessions.ts';
import type { Audience } from '../live/live-hub.ts';
import { LiveHub } from '../live/live-hub.ts';
import { LiveReaders } from '../live/live-readers.ts';
import type { DeskPorts } from '../ports.ts';
import type { PageRequest } from '../reading/page.ts';
import { quarantinePageOf } from '../reading/quarantine-pages.ts';
import { isWell } from '../station-status.ts';
import { nestPath } from './desk-address.ts';
import { isLoopback } from './loopback.ts';
import { Refused } from './refused.ts';
import { DESK_PORTS, LISTENS_ON } from './tokens.ts';

const description = openApi();

/** The station as a whole: health, quarantine, the stream of changes, and the description of all this. */
@Controller()
export class StationController {
  readonly #ports: DeskPorts;
  readonly #hub: LiveHub;
  readonly #readers: LiveReaders;
  readonly #listensOn: string;

  constructor(
    @Inject(DESK_PORTS) ports: DeskPorts,
    @Inject(LiveHub) hub: LiveHub,
    @Inject(LiveReaders) readers: LiveReaders,
    @Inject(LISTENS_ON) listensOn: string,
  ) {
    this.#ports = ports;
    this.#hub = hub;
    this.#readers = readers;
    this.#listensOn = listensOn;
  }

  @Get(nestPath(routes.listQuarantine))
  quarantine(
    @Who() { accounts }: Viewer,
    @Query({ schema: routes.listQuarantine.query }) request: PageRequest,
  ): Promise<QuarantinePage> {
    return quarantinePageOf(this.#ports.journal, request, { accounts, positions: positionsFor(accounts) });
  }

  @Get(nestPath(routes.getHealth))
  health(@Who() { accounts }: Viewer): Health {
    const { views, parts, clock, access } = this.#ports;
    const seesAll = accounts === 'all';
    return {
      status: isWell(this.#ports) ? 'ok' : 'degraded',
      at: formatInstant(clock()),
      position: this.#hub.position(accounts)?.toString(),
      following: views.following(),
      site: access.site,
      listensOn: this.#listensOn,
      reach: isLoopback(this.#listensOn) ? 'this-machine' : 'network',
      notice: access.site === 'demo' ? demoNotice : realNotice,
      risers: views.views().filter(({ account }) => isAmong(accounts, account)).length,
      ...(seesAll ? { live: { clients: this.#readers.count, droppedSlow: this.#readers.droppedSlow } } : {}),
      parts: parts().map((part) => ({ ...part, detail: seesAll ? part.detail : detailUntold })),
    };
  }

  @Get(nestPath(routes.getOpenApi))
  openApi(): object {
    return description;
  }

  @Get(nestPath(routes.listen))
  listen(
    @Who() { name, session }: Viewer,
    @Headers('last-event-id') lastEventId: string | undefined,
    @Res() response: ServerResponse,
  ): void {
    if (this.#readers.isFullFor(name)) throw new Refused('too-many-listeners');
    const audience = audienceOf(this.#ports.access, session);
    this.#readers.add(response, this.#hub.connect(audience, lastEventId === '' ? undefined : lastEventId), name);
  }
}

/** What this session may see at this moment: nothing once it ended, its person is shut out, or has no role any more. */
const audienceOf =
  ({ frontDesk }: Access, { id }: Session): Audience =>
  () => {
    const session = frontDesk.sessions.use(id);
    const user = session === undefined ? undefined : frontDesk.whoIs(session);
    if (user === undefined) return undefined;
    const accounts = accountsWith(user.grants, routes.listen.access.who);
    return accounts === 'all' || accounts.size > 0 ? accounts : undefined;
  };

const demoNotice = 'A demo: an invented site with simulated signals. Nothing here is real.';
const realNotice = 'Who reads and commands is logged in; every command carries the author.';

/** Details may name what belongs to other accounts. */
const detailUntold = 'Details are told to those who look after the whole station.';
