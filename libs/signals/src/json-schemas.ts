import type { JsonObject } from '@tidemark/kernel';
import { z } from 'zod';
import { contactPayload, outputPayload } from './bench-schema.ts';
import { findingPayload } from './finding-schema.ts';
import { linkEvent, linkPayload } from './link-schema.ts';
import { commandEvent, recording } from './replay-schema.ts';
import { signalEvent } from './signal-schema.ts';
import { statePayload } from './state-schema.ts';

const schemas = {
  signal: signalEvent,
  link: linkPayload,
  contact: contactPayload,
  output: outputPayload,
  state: statePayload,
  finding: findingPayload,
  'replay-link': linkEvent,
  'replay-command': commandEvent,
  recording,
} as const;

/** The name of a schema: a channel's payload, or a line of a replay file. */
export type SchemaName = keyof typeof schemas;

/**
 * JSON Schema (draft-07, which AsyncAPI builds on) of everything that crosses the wire, derived from the schemas that
 * read it. JSON Schema cannot say all of it: that a date exists in the calendar beyond `format`, that probabilities
 * add up to at most 1, that a key may stand once only, that the topic must agree with `source` and `subject`, and the
 * size and depth of the whole.
 */
export const jsonSchemas = (): Readonly<Record<SchemaName, JsonObject>> => ({
  signal: schemaOf('signal'),
  link: schemaOf('link'),
  contact: schemaOf('contact'),
  output: schemaOf('output'),
  state: schemaOf('state'),
  finding: schemaOf('finding'),
  'replay-link': schemaOf('replay-link'),
  'replay-command': schemaOf('replay-command'),
  recording: schemaOf('recording'),
});

/** As sent, so that times are text; through JSON, so that nothing is left but JSON. */
const schemaOf = (name: SchemaName): JsonObject =>
  JSON.parse(JSON.stringify(z.toJSONSchema(schemas[name], { target: 'draft-07', io: 'input' }))) as JsonObject;
