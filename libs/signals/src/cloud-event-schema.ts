import { z } from 'zod';
import { attributeText, uriReference, wireTime } from './wire-text.ts';

/** Zero padding included. Enough for any counter, few enough to turn into a number at once. */
const maximumSequence_digits = 40;

const sequence = z.string().regex(new RegExp(`^[0-9]{1,${maximumSequence_digits}}$`), {
  error: `expected 1 to ${maximumSequence_digits} decimal digits in a string`,
});

/** What an extension attribute may hold (CloudEvents 1.0, "Type System"); `null` is the same as left out. */
const extensionValue = z.union([attributeText, z.literal(''), z.boolean(), z.int32(), z.null()], {
  error: 'expected an extension attribute of CloudEvents: text, a whole number, true or false',
});

const attributeName = /^[a-z0-9]+$/;

/** The attributes we know around a type and its data; an optional one that is `null` counts as left out. */
const attributes = <const Type extends string, Data extends z.ZodType>(type: Type, data: Data) => ({
  specversion: z.literal('1.0', { error: 'expected "1.0"' }),
  id: attributeText,
  source: uriReference,
  type: z.literal(type, { error: `expected "${type}"` }),
  subject: attributeText.nullish(),
  time: wireTime.nullish(),
  datacontenttype: z
    .string()
    .regex(/^application\/(?:[a-z0-9.-]+\+)?json(?:[ ;].*)?$/, { error: 'expected "application/json"' })
    .nullish(),
  dataschema: uriReference.nullish(),
  sequence: sequence.nullish(),
  receivedtime: wireTime.nullish(),
  data,
});

type Attributes<Type extends string, Data extends z.ZodType> = z.ZodObject<ReturnType<typeof attributes<Type, Data>>>;

/** The attributes we know of an event, as sent. */
export type SentEvent<Type extends string, Data extends z.ZodType> = z.input<Attributes<Type, Data>>;

/** The attributes we know of an event, its times read. */
export type ReadEvent<Type extends string, Data extends z.ZodType> = z.output<Attributes<Type, Data>>;

/**
 * A CloudEvents 1.0 event in structured JSON mode around a type and its data (FACTS 7.20 to 7.24). Extension
 * attributes we do not know are let through. An optional attribute that is `null` counts as left out (CloudEvents
 * JSON format, 2.2).
 */
export const cloudEvent = <const Type extends string, Data extends z.ZodType>(type: Type, data: Data) =>
  z
    .object(attributes(type, data))
    .catchall(extensionValue)
    .refine((event) => Object.keys(event).every((name) => attributeName.test(name)), {
      error: 'expected attribute names of a-z and 0-9 only',
    })
    .meta({ propertyNames: { pattern: attributeName.source } });
