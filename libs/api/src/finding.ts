import * as z from 'zod';
import { eventReference, moment, next } from './basics.ts';
import { causeIds } from '@tidemark/words';
import { alertStates, findingCodes, severities } from '@tidemark/words';

/** What a rule claims about a riser, with its evidence. */
export const finding = z.object({
  id: z.string(),
  code: z.enum(findingCodes),
  riser: z.string().meta({ description: '`account/riser`.' }),
  severity: z.enum(severities),
  status: z.enum(['raised', 'updated', 'cleared']),
  alertState: z.enum(alertStates),
  at: moment,
  raisedAt: moment,
  clearedAt: moment.optional(),
  window: z
    .object({ from: moment, to: moment })
    .optional()
    .meta({ description: "When the expected signal should have come, on the panel's clock." }),
  evidence: z.array(eventReference),
  explanation: z.string(),
  causes: z
    .array(z.object({ causes: z.array(z.enum(causeIds)), probability: z.number().min(0).max(1), check: z.string() }))
    .meta({ description: 'Ranked. The probabilities sum to at most 1; the rest is something else.' }),
  advice: z.string(),
  caution: z.string(),
});

/** A finding on the wire. */
export type Finding = z.infer<typeof finding>;

/** One message of the findings' history, newest first. */
export const findingHistory = z.object({
  items: z.array(
    z.discriminatedUnion('type', [
      z.object({ type: z.literal('finding'), id: z.string(), position: z.string(), recordedAt: moment, finding }),
      z.object({
        type: z.literal('unreadable'),
        id: z.string(),
        position: z.string(),
        recordedAt: moment,
        reason: z.string().meta({ description: 'Why this build cannot read the record. It is shown, never skipped.' }),
      }),
    ]),
  ),
  next,
});

/** The findings' history of a riser. */
export type FindingHistory = z.infer<typeof findingHistory>;
