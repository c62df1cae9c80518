import * as z from 'zod';
import { entry, grant, invitation, user, userList, whoAmI } from './access.ts';
import type { RouteAccess } from './access-rules.ts';
import { commandRoles } from './access-rules.ts';
import { action, alert, alertDuty, alertSummary, deadlineTable } from './alert.ts';
import { eventReference } from './basics.ts';
import { accountFigures, alertFigures } from './figures.ts';
import { handOver, handOverRequest, handOvers } from './hand-over.ts';
import { commandReceipt, commandRequest, riserCommand } from './command.ts';
import { arguedCauses, diagnosis } from './diagnosis.ts';
import { riserEvent, riserEvents } from './events.ts';
import { finding, findingHistory } from './finding.ts';
import { health } from './health.ts';
import { liveEvents } from './live.ts';
import type { ProblemCode } from './problem.ts';
import { problem, problemCodes, problemContentType } from './problem.ts';
import { quarantined, quarantinePage } from './quarantine.ts';
import {
  inferredPosition,
  pointState,
  restorationStep,
  riserList,
  riserSummary,
  riserView,
  waterline,
} from './riser.ts';
import type { Route } from './route.ts';
import { intentHeader, tokenHeader } from './route.ts';
import { routes } from './routes.ts';

/** The schemas that have a name in the description. */
const components: Readonly<Record<string, z.ZodType>> = {
  AccountFigures: accountFigures,
  Action: action,
  Alert: alert,
  AlertFigures: alertFigures,
  AlertDuty: alertDuty,
  AlertSummary: alertSummary,
  CommandReceipt: commandReceipt,
  CommandRequest: commandRequest,
  DeadlineTable: deadlineTable,
  ArguedCauses: arguedCauses,
  Diagnosis: diagnosis,
  Entry: entry,
  EventReference: eventReference,
  Finding: finding,
  FindingHistory: findingHistory,
  Grant: grant,
  Health: health,
  InferredPosition: inferredPosition,
  Invitation: invitation,
  HandOver: handOver,
  HandOverRequest: handOverRequest,
  HandOvers: handOvers,
  LiveEscalated: liveEvents.escalated,
  LiveResumed: liveEvents.resumed,
  LiveResync: liveEvents.resync,
  LiveRiser: liveEvents.riser,
  LiveTick: liveEvents.tick,
  PointState: pointState,
  Problem: problem,
  Quarantined: quarantined,
  QuarantinePage: quarantinePage,
  RestorationStep: restorationStep,
  RiserCommand: riserCommand,
  RiserEvent: riserEvent,
  RiserEvents: riserEvents,
  RiserList: riserList,
  RiserSummary: riserSummary,
  RiserView: riserView,
  User: user,
  UserList: userList,
  Waterline: waterline,
  WhoAmI: whoAmI,
};

type JsonValue = Readonly<Record<string, unknown>>;

/** The description of the API after OpenAPI 3.1.1, derived from the route table. */
export function openApi(): JsonValue {
  const paths: Record<string, Record<string, JsonValue>> = {};
  for (const [name, route] of Object.entries(routes) as [string, Route][])
    paths[route.path] = { ...paths[route.path], [route.method]: operation(name, route) };
  return {
    openapi: '3.1.1',
    info: {
      title: 'Tidemark desk',
      version: '1.0.0',
      description:
        'Reads the state of deluge risers and records what people decide. Every operation names the roles that may ' +
        'use it; a role counts at the accounts it is given for, and whatever belongs to other accounts is answered as ' +
        'if it did not exist. The author of a command is whoever is logged in. ' +
        commandRules(),
    },
    servers: [{ url: '/' }],
    security: [],
    paths,
    components: {
      schemas: componentSchemas(),
      securitySchemes: {
        session: {
          type: 'apiKey',
          in: 'cookie',
          name: '__Host-tidemark-session',
          description:
            'Set by `logIn`. Over plain HTTP on a loopback address it is named `tidemark-session-` and the port instead.',
        },
      },
    },
  };
}

const commandRules = (): string =>
  `Commands and who may give them: ${Object.entries(commandRoles)
    .map(([command, who]) => `${command} (${who.join(', ')})`)
    .join('; ')}.`;

function componentSchemas(): Record<string, JsonValue> {
  const registry = z.registry<{ readonly id: string }>();
  for (const [id, schema] of Object.entries(components)) registry.add(schema, { id });
  const { schemas } = z.toJSONSchema(registry, { uri: reference, io: 'input', target: 'draft-2020-12' });
  return Object.fromEntries(Object.entries(schemas).map(([id, schema]) => [id, bare(schema)]));
}

const reference = (id: string): string => `#/components/schemas/${id}`;

/** A component is found by its place in the description, so it needs neither dialect nor id of its own. */
const bare = (schema: JsonValue): JsonValue =>
  Object.fromEntries(Object.entries(schema).filter(([name]) => !['$schema', '$id', 'id'].includes(name)));

function operation(name: string, route: Route): JsonValue {
  return {
    operationId: name,
    summary: route.summary,
    security: security(route.access),
    ...parameters(route),
    ...(route.body === undefined
      ? {}
      : { requestBody: { required: true, content: { 'application/json': { schema: named(route.body) } } } }),
    responses: { [String(route.answer.status)]: answer(route), ...problems(route) },
  };
}

/** Any one of these will do. Beside a cookie a list of names says which roles are required (OpenAPI 3.1.1, 4.8.30). */
function security({ who }: RouteAccess): readonly JsonValue[] {
  if (who === 'anyone') return [];
  return who === 'logged-in' ? [{ session: [] }] : who.map((role) => ({ session: [role] }));
}

function parameters(route: Route): JsonValue {
  const of = (place: 'path' | 'query', object: z.ZodObject | undefined) =>
    Object.entries(object?.shape ?? {}).map(([name, schema]) => parameter(place, name, schema as z.ZodType));
  const list = [...of('path', route.params), ...of('query', route.query)];
  const header = (name: string) => ({ name, in: 'header', required: true, schema: { type: 'string' } });
  const token = route.access.who === 'anyone' ? [] : [header(tokenHeader)];
  const all = route.method === 'post' ? [...list, header(intentHeader), ...token] : list;
  return all.length === 0 ? {} : { parameters: all };
}

function parameter(place: 'path' | 'query', name: string, schema: z.ZodType): JsonValue {
  const { description, ...rest } = bare(z.toJSONSchema(schema, { io: 'input', target: 'draft-2020-12' }));
  return {
    name,
    in: place,
    required: place === 'path',
    schema: rest,
    ...(typeof description === 'string' ? { description } : {}),
  };
}

function answer(route: Route): JsonValue {
  const { contentType, description, schema } = route.answer;
  return { description, content: { [contentType]: { schema: schema === undefined ? {} : named(schema) } } };
}

/** One response a status; the codes that share it are named in its description. */
function problems(route: Route): JsonValue {
  const codes = [...route.problems, ...refusedAccess(route), 'unknown-host', 'internal-fault'] as const;
  const statuses = [...new Set(codes.map((code) => problemCodes[code].status))].sort((left, right) => left - right);
  return Object.fromEntries(
    statuses.map((status) => [
      String(status),
      {
        description: codes.filter((code) => problemCodes[code].status === status).join(', '),
        content: { [problemContentType]: { schema: named(problem) } },
      },
    ]),
  );
}

function refusedAccess({ method, access }: Route): readonly ProblemCode[] {
  if (access.who === 'anyone') return [];
  const token = method === 'post' ? (['wrong-token'] as const) : [];
  return ['not-logged-in', ...token, ...(access.who === 'logged-in' ? [] : (['not-allowed'] as const))];
}

function named(schema: z.ZodType): JsonValue {
  const id = Object.keys(components).find((each) => components[each] === schema);
  return id === undefined ? bare(z.toJSONSchema(schema, { io: 'input' })) : { $ref: reference(id) };
}
