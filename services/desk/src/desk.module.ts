import { APP_FILTER, APP_GUARD, APP_INTERCEPTOR, APP_PIPE } from '@nestjs/core';
import type { DynamicModule, OnModuleDestroy } from '@nestjs/common';
import { Inject, Logger, Module, StandardSchemaValidationPipe } from '@nestjs/common';
import { AccessGuard } from './access/access-guard.ts';
import { PeopleController } from './access/people.controller.ts';
import { PositionInterceptor } from './access/position-interceptor.ts';
import { everyRouteIsRuled } from './access/route-of.ts';
import type { Transport } from './access/session-cookie.ts';
import { SessionController } from './access/session.controller.ts';
import { AlertsController } from './http/alerts.controller.ts';
import { ExportController } from './http/export.controller.ts';
import { ProblemFilter } from './http/problem-filter.ts';
import { Refused } from './http/refused.ts';
import { RiserController } from './http/riser.controller.ts';
import { StationController } from './http/station.controller.ts';
import { ACCESS, DESK_PORTS, LISTENS_ON, TRANSPORT } from './http/tokens.ts';
import { LiveHub } from './live/live-hub.ts';
import { LiveReaders } from './live/live-readers.ts';
import type { DeskPorts } from './ports.ts';

/** The most issues a problem lists; a body may be wrong in many places. */
const issuesLimit = 20;

/** The desk's HTTP API as a Nest module; `openDesk` puts the front door and the page around it. */
@Module({})
export class DeskModule implements OnModuleDestroy {
  readonly #hub: LiveHub;
  readonly #readers: LiveReaders;

  constructor(@Inject(LiveHub) hub: LiveHub, @Inject(LiveReaders) readers: LiveReaders) {
    this.#hub = hub;
    this.#readers = readers;
  }

  static with(
    ports: DeskPorts,
    { listensOn, transport }: { readonly listensOn: string; readonly transport: Transport },
  ): DynamicModule {
    everyRouteIsRuled(controllers);
    const log = new Logger('desk');
    const readers = new LiveReaders((waiting_bytes) => {
      log.warn(`cut off a page that reads too slowly: ${waiting_bytes} bytes waited for it`);
    });
    return {
      module: DeskModule,
      controllers: [...controllers],
      providers: [
        { provide: DESK_PORTS, useValue: ports },
        { provide: ACCESS, useValue: ports.access },
        { provide: LISTENS_ON, useValue: listensOn },
        { provide: TRANSPORT, useValue: transport },
        { provide: LiveHub, useValue: new LiveHub(ports.views, ports.clock) },
        { provide: LiveReaders, useValue: readers },
        { provide: APP_GUARD, useValue: new AccessGuard(ports.access, transport) },
        { provide: APP_INTERCEPTOR, useValue: new PositionInterceptor() },
        { provide: APP_FILTER, useValue: new ProblemFilter() },
        { provide: APP_PIPE, useValue: validation },
      ],
    };
  }

  /** Before the server closes: an open stream would hold it for ever. */
  onModuleDestroy(): void {
    this.#readers.close();
    this.#hub.close();
  }
}

const controllers = [
  RiserController,
  AlertsController,
  ExportController,
  StationController,
  SessionController,
  PeopleController,
];

const validation = new StandardSchemaValidationPipe({
  exceptionFactory: (issues) =>
    new Refused('invalid-request', {
      issues: issues.slice(0, issuesLimit).map(({ path, message }) => ({ path: pathOf(path), message })),
    }),
});

const pathOf = (path: readonly (PropertyKey | { readonly key: PropertyKey })[] | undefined): string =>
  (path ?? []).map((part) => String(typeof part === 'object' ? part.key : part)).join('.');
