import { z } from 'zod';
import { cloudEvent } from './cloud-event-schema.ts';
import { callees, dispatchStages, dispatchUnits, signalNames } from '@tidemark/words';
import { textOfAtMost, wireTime } from './wire-text.ts';

/** Thirty days; a longer test window is a riser out of service by another name. */
const maximumTest_s = 2_592_000;

const short = textOfAtMost(200)
  .refine((text) => text !== '', { error: 'expected text' })
  .meta({ minLength: 1 });

/** A command about alerts names either every one of a finding's code, or one by its id. */
const aboutAlerts = <Shape extends z.ZodRawShape>(shape: Shape) =>
  z
    .looseObject({ ...shape, finding: short.optional(), alert: short.optional() })
    .refine((data) => (data['finding'] === undefined) !== (data['alert'] === undefined), {
      error: 'expected either the code of a finding or the id of an alert',
    })
    .meta({ oneOf: [{ required: ['finding'] }, { required: ['alert'] }] });

/** `data` of a station command (CONTRACT 7.1). Members we do not know, such as a note, are let through. */
const commandData = z.discriminatedUnion(
  'command',
  [
    z.looseObject({
      command: z.literal('test-begin'),
      forSeconds: z.number().positive().max(maximumTest_s),
      expect: z.array(z.enum(signalNames)).default([]),
    }),
    z.looseObject({ command: z.literal('test-end') }),
    z.looseObject({
      command: z.literal('impairment-begin'),
      kind: z.enum(['planned', 'emergency']),
      reason: textOfAtMost(500).default(''),
    }),
    z.looseObject({ command: z.literal('impairment-end') }),
    aboutAlerts({ command: z.literal('acknowledge') }),
    z.looseObject({ command: z.literal('confirm'), step: short }),
    z.looseObject({ command: z.literal('check-answered'), check: short, found: short }),
    aboutAlerts({
      command: z.literal('shelve'),
      forSeconds: z.number().positive().max(maximumTest_s),
      reason: textOfAtMost(500).default(''),
    }),
    aboutAlerts({ command: z.literal('unshelve') }),
    z.looseObject({ command: z.literal('note'), text: textOfAtMost(2_000) }),
    z.looseObject({
      command: z.literal('call-recorded'),
      to: z.enum(callees),
      outcome: z.enum(['reached', 'not-reached']),
      person: short.optional(),
      note: textOfAtMost(500).optional(),
      alert: short.optional(),
    }),
    z.looseObject({
      command: z.literal('dispatch-recorded'),
      unit: z.enum(dispatchUnits),
      stage: z.enum(dispatchStages),
      reference: short.optional(),
      note: textOfAtMost(500).optional(),
      alert: short.optional(),
    }),
  ],
  { error: 'expected a command such as "test-begin"' },
);

/** `data` of a station command, its defaults filled in. */
export type CommandData = z.output<typeof commandData>;

/** A station command in a replay file. */
export const commandEvent = cloudEvent('riser.command.v1', commandData);

/** A message as it arrived, on a line of a file. `payloadBase64` holds what is not UTF-8 and wins over `payload`. */
export const recording = z
  .looseObject({
    topic: z.string(),
    receivedtime: wireTime,
    contentType: z.string().optional(),
    payload: z.union([z.string(), z.looseObject({})], { error: 'expected text or an object' }).optional(),
    payloadBase64: z.base64().optional(),
  })
  .refine(({ payload, payloadBase64 }) => payload !== undefined || payloadBase64 !== undefined, {
    error: 'expected a payload or a payloadBase64',
  })
  .meta({ anyOf: [{ required: ['payload'] }, { required: ['payloadBase64'] }] });

/** A message as it arrived, as written to a file. */
export type Recording = z.input<typeof recording>;
