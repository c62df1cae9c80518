import * as z from 'zod';
import { moment, next, position } from './basics.ts';
import { quarantineReasons } from './words.ts';

/** The longest part of a payload that is shown. A choice of this project; the journal keeps what was received. */
export const payloadExcerptLimit_bytes = 2_048;

/** A message that could not be read, as received. */
export const quarantined = z.object({
  id: z.string(),
  position,
  stream: z.string(),
  topic: z.string(),
  receivedAt: moment,
  reason: z.enum(quarantineReasons).or(z.string()),
  detail: z.string(),
  contentType: z.string().optional(),
  payload: z.object({
    text: z.string().meta({
      description:
        'The beginning of the payload; what is not printable ASCII is written as an escape (`\\u00e9`, `\\xff`).',
    }),
    encoding: z.enum(['utf-8', 'bytes']),
    length_bytes: z.number().int().nonnegative(),
    omitted_bytes: z.number().int().nonnegative(),
  }),
});

/** A message that could not be read. */
export type Quarantined = z.infer<typeof quarantined>;

/** A page of the quarantine, newest first. */
export const quarantinePage = z.object({ items: z.array(quarantined), next });

/** A page of the quarantine. */
export type QuarantinePage = z.infer<typeof quarantinePage>;
