import * as z from 'zod';
import { eventReference } from './basics.ts';
import { commandReceipt, commandRequest, riserCommand } from './command.ts';
import { riserEvent, riserEvents } from './events.ts';
import { finding, findingHistory } from './finding.ts';
import { health } from './health.ts';
import { liveEvents } from './live.ts';
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
import type { Route } from './routes.ts';
import { intentHeader, routes } from './routes.ts';

/** The schemas that have a name in the description. */
const components: Readonly<Record<string, z.ZodType>> = {
  CommandReceipt: commandReceipt,
  CommandRequest: commandRequest,
  EventReference: eventReference,
  Finding: finding,
  FindingHistory: findingHistory,
  Health: health,
  InferredPosition: inferredPosition,
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
  Waterline: waterline,
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
        'Reads the state of deluge risers and records what people decide. This station has no login yet: it answers ' +
        'on a loopback address unless it is told otherwise, and the author of a command is the name that was given.',
    },
    servers: [{ url: '/' }],
    security: [],
    paths,
    components: { schemas: componentSchemas() },
  };
}

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
    ...parameters(route),
    ...(route.body === undefined
      ? {}
      : { requestBody: { required: true, content: { 'application/json': { schema: named(route.body) } } } }),
    responses: { [String(route.answer.status)]: answer(route), ...problems(route) },
  };
}

function parameters(route: Route): JsonValue {
  const of = (place: 'path' | 'query', object: z.ZodObject | undefined) =>
    Object.entries(object?.shape ?? {}).map(([name, schema]) => parameter(place, name, schema as z.ZodType));
  const list = [...of('path', route.params), ...of('query', route.query)];
  const intent = { name: intentHeader, in: 'header', required: true, schema: { type: 'string' } };
  const all = route.method === 'post' ? [...list, intent] : list;
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
  const codes = [...route.problems, 'unknown-host', 'internal-fault'] as const;
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

function named(schema: z.ZodType): JsonValue {
  const id = Object.keys(components).find((each) => components[each] === schema);
  return id === undefined ? bare(z.toJSONSchema(schema, { io: 'input' })) : { $ref: reference(id) };
}
