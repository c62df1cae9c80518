import type { ServerResponse } from 'node:http';
import type { Health, QuarantinePage } from '@tidemark/api';
import { openApi, routes } from '@tidemark/api';
import { Controller, Get, Headers, Inject, Query, Res } from '@nestjs/common';
import { formatInstant } from '@tidemark/kernel';
import { LiveHub } from '../live/live-hub.ts';
import { LiveReaders } from '../live/live-readers.ts';
import type { DeskPorts } from '../ports.ts';
import type { PageRequest } from '../reading/page.ts';
import { quarantinePageOf } from '../reading/quarantine-pages.ts';
import { nestPath } from './desk-address.ts';
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
  quarantine(@Query({ schema: routes.listQuarantine.query }) request: PageRequest): Promise<QuarantinePage> {
    return quarantinePageOf(this.#ports.journal, request);
  }

  @Get(nestPath(routes.getHealth))
  health(): Health {
    const { views, parts, clock } = this.#ports;
    const all = parts();
    const well = views.following() === 'live' && all.every(({ state }) => state === 'up');
    return {
      status: well ? 'ok' : 'degraded',
      at: formatInstant(clock()),
      position: views.position()?.toString(),
      following: views.following(),
      login: 'none',
      listensOn: this.#listensOn,
      reach: reachOf(this.#listensOn),
      notice:
        'No login yet: whoever reaches this address may read and command. Names of authors are given, not proven.',
      risers: views.views().length,
      live: { clients: this.#readers.count, droppedSlow: this.#readers.droppedSlow },
      parts: all.map((part) => ({ ...part })),
    };
  }

  @Get(nestPath(routes.getOpenApi))
  openApi(): object {
    return description;
  }

  @Get(nestPath(routes.listen))
  listen(@Headers('last-event-id') lastEventId: string | undefined, @Res() response: ServerResponse): void {
    if (this.#readers.isFull) throw new Refused('too-many-listeners');
    this.#readers.add(response, this.#hub.connect(lastEventId === '' ? undefined : lastEventId));
  }
}

/** Loopback addresses: 127.0.0.0/8 and ::1 (RFC 6890). */
const reachOf = (listensOn: string): Health['reach'] =>
  /^(127\.|::1$|localhost$)/.test(listensOn) ? 'this-machine' : 'network';
