import { causeIds, findingCodes } from '@tidemark/words';
import * as z from 'zod';
import { eventReference, moment, riserKey } from './basics.ts';

const argument = z.object({ says: z.string(), evidence: z.array(eventReference) });

const causes = z.array(z.enum(causeIds));

/** Causes that the signals cannot tell apart, what speaks for and against them, and the check that would settle it. */
export const arguedCauses = z.object({
  causes,
  probability: z.number().min(0).max(1),
  for: z.array(argument).meta({ description: 'What was observed and is at least twice as likely under these causes.' }),
  against: z.array(argument),
  check: z.string(),
  checkId: z.string().meta({ description: 'What `check-answered` names it by; empty where there is no known check.' }),
  outcomes: z.array(
    z.object({
      found: z.string(),
      means: causes.meta({ description: 'Those of the finding’s causes that bring it.' }),
    }),
  ),
});

/** The most moments of the record that are named. A choice of this project: a slider has no more places than that. */
export const recordMoments = 400;

/** Why the causes of each standing finding are ranked as they are, as of one moment of the record. */
export const diagnosis = riserKey.extend({
  asOf: moment,
  findings: z.array(z.object({ finding: z.string(), code: z.enum(findingCodes), groups: z.array(arguedCauses) })),
  record: z
    .object({
      events: z.number().int().nonnegative(),
      moments: z
        .array(moment)
        .max(recordMoments)
        .meta({ description: 'When something was received, oldest first, evenly chosen where there is too much.' }),
      before: moment.optional().meta({ description: 'The receipt next before `asOf`.' }),
      after: moment.optional().meta({ description: 'The receipt next after `asOf`.' }),
    })
    .meta({ description: 'The whole record of the riser: signals, links and what people recorded.' }),
});

/** Why the causes of each standing finding are ranked as they are. */
export type Diagnosis = z.infer<typeof diagnosis>;
