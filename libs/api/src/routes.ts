import type * as z from 'zod';
import { accessRoutes } from './access-routes.ts';
import { alertRoutes } from './alert-routes.ts';
import { commanders } from './access-rules.ts';
import { paging, positionPaging, riserKey } from './basics.ts';
import { commandReceipt, commandRequest } from './command.ts';
import { diagnosis } from './diagnosis.ts';
import { exportRoutes } from './export-routes.ts';
import { riserEvents } from './events.ts';
import { findingHistory } from './finding.ts';
import { health } from './health.ts';
import { quarantinePage } from './quarantine.ts';
import { asOfQuery, riserList, riserView } from './riser.ts';
import type { Route } from './route.ts';
import { atTheirAccounts, atTheRiser, json, loggedIn, unsafe } from './route.ts';

/** Every address of the desk's API. Server, page and OpenAPI are made from this one table. */
export const routes = {
  listRisers: {
    method: 'get',
    path: '/api/risers',
    summary: 'Every riser of the accounts that the person has a role at, most urgent first.',
    access: atTheirAccounts,
    answer: json(riserList, 'The risers as of one journal position.'),
    problems: [],
  },
  getRiser: {
    method: 'get',
    path: '/api/risers/{account}/{riser}',
    summary: 'The state of a riser, now or as it was.',
    access: atTheRiser,
    params: riserKey,
    query: asOfQuery,
    answer: json(riserView, 'The riser as of the moment asked for.'),
    problems: ['invalid-request', 'unknown-riser', 'moment-not-reached', 'journal-unavailable'],
  },
  listEvents: {
    method: 'get',
    path: '/api/risers/{account}/{riser}/events',
    summary: 'The recorded events of a riser, with both clocks, newest first.',
    access: atTheRiser,
    params: riserKey,
    query: paging,
    answer: json(riserEvents, 'A page of events.'),
    problems: ['invalid-request', 'unknown-riser', 'journal-unavailable'],
  },
  listFindings: {
    method: 'get',
    path: '/api/risers/{account}/{riser}/findings',
    summary: 'Every message about the findings of a riser, newest first.',
    access: atTheRiser,
    params: riserKey,
    query: paging,
    answer: json(findingHistory, 'A page of the findings’ history.'),
    problems: ['invalid-request', 'unknown-riser', 'journal-unavailable'],
  },
  getDiagnosis: {
    method: 'get',
    path: '/api/risers/{account}/{riser}/diagnosis',
    summary: 'Why the causes of each standing finding are ranked as they are, now or as it was.',
    access: atTheRiser,
    params: riserKey,
    query: asOfQuery,
    answer: json(diagnosis, 'The causes with what speaks for and against them.'),
    problems: ['invalid-request', 'unknown-riser', 'moment-not-reached', 'journal-unavailable'],
  },
  giveCommand: {
    method: 'post',
    path: '/api/risers/{account}/{riser}/commands',
    summary: 'Record what a person decided: a test, an impairment, an acknowledgement, what was seen on site.',
    access: { who: commanders, at: 'riser' },
    params: riserKey,
    body: commandRequest,
    answer: {
      status: 201,
      contentType: 'application/json',
      schema: commandReceipt,
      description: 'The command is durable in the journal.',
    },
    problems: [
      ...unsafe,
      'unknown-riser',
      'no-such-finding',
      'no-such-step',
      'no-such-check',
      'no-such-alert',
      'may-not-be-shelved',
      'shelved-too-long',
      'nothing-to-end',
      'already-declared',
      'journal-unavailable',
    ],
  },
  listQuarantine: {
    method: 'get',
    path: '/api/quarantine',
    summary: 'What could not be read, as received, newest first.',
    access: { who: ['service-manager', 'integrator', 'administrator'], at: 'accounts' },
    query: positionPaging,
    answer: json(quarantinePage, 'A page of the quarantine.'),
    problems: ['invalid-request', 'journal-unavailable'],
  },
  getHealth: {
    method: 'get',
    path: '/api/health',
    summary: 'How the station is, and what a person must know before trusting it.',
    access: loggedIn,
    answer: json(health, 'Always 200 while the desk answers; `status` says how it is.'),
    problems: [],
  },
  listen: {
    method: 'get',
    path: '/api/live',
    summary: 'Changes as server-sent events: a snapshot, then what changes.',
    access: atTheirAccounts,
    answer: {
      status: 200,
      contentType: 'text/event-stream',
      description:
        'Events `snapshot`, `riser`, `escalated`, `resumed`, `resync` and `tick`; their data are the schemas `Live…`. `id:` is the ' +
        'journal position. With `Last-Event-ID` the stream goes on from there, or sends one `resync` and a snapshot ' +
        'where that is too long ago. A reader that is too slow is cut off and counted in the health.',
    },
    problems: ['too-many-listeners'],
  },
  ...accessRoutes,
  ...alertRoutes,
  ...exportRoutes,
  getOpenApi: {
    method: 'get',
    path: '/api/openapi.json',
    summary: 'This description.',
    access: { who: 'anyone' },
    answer: { status: 200, contentType: 'application/json', description: 'OpenAPI 3.1.' },
    problems: [],
  },
} as const satisfies Record<string, Route>;

/** The name of a route. */
export type RouteName = keyof typeof routes;

/** What a route answers. */
export type Answer<Name extends RouteName> = (typeof routes)[Name]['answer'] extends { schema: infer Schema }
  ? z.infer<Schema>
  : unknown;

/** Fills the path parameters of a route. */
export const pathTo = (route: Route, params: Readonly<Record<string, string>> = {}): string =>
  route.path.replace(/\{(\w+)\}/g, (_whole, name: string) => encodeURIComponent(params[name] ?? ''));
