import { z } from 'zod';
import { wireName, wireTime } from './wire-text.ts';

/** A code or a cause. Left open here: the lists belong to the reasoning, and a reader should bear a new one. */
const word = z
  .string()
  .regex(/^[a-z0-9]+(?:-[a-z0-9]+)*$/, { error: 'expected a word such as "flow-without-release"' });

/** Cites the event a claim rests on. */
export const eventReference = z.looseObject({ id: z.string().min(1), what: z.string().min(1), at: wireTime });

const causeGroup = z.looseObject({
  causes: z.array(word).min(1),
  probability: z.number().min(0).max(1),
  check: z.string(),
});

/** Probabilities of a finding may not add up to more than certainty; rounding is forgiven. */
const roundingOfProbabilities = 1e-6;

/** A finding raised, updated or cleared (CONTRACT 5). */
export const findingPayload = z.looseObject({
  id: z.string().min(1),
  code: word,
  /** `account/riser`, or the riser alone. */
  riser: z.union([z.string().regex(/^[a-z0-9][a-z0-9-]{0,62}\/[a-z0-9][a-z0-9-]{0,62}$/), wireName]),
  severity: z.enum(['critical', 'high', 'advisory']),
  status: z.enum(['raised', 'updated', 'cleared']),
  /** ISA-18.2 / IEC 62682 (FACTS 6a). */
  alertState: z.enum([
    'unacknowledged',
    'acknowledged',
    'returned-unacknowledged',
    'normal',
    'shelved',
    'out-of-service',
  ]),
  at: wireTime,
  raisedAt: wireTime,
  clearedAt: wireTime.optional(),
  window: z.looseObject({ from: wireTime, to: wireTime }).optional(),
  evidence: z.array(eventReference),
  explanation: z.string().min(1),
  causes: z
    .array(causeGroup)
    .refine((groups) => groups.reduce((sum, { probability }) => sum + probability, 0) <= 1 + roundingOfProbabilities, {
      error: 'expected probabilities that add up to at most 1',
    }),
  advice: z.string(),
  caution: z.string(),
});

/** A finding, as sent. */
export type FindingPayload = z.input<typeof findingPayload>;
