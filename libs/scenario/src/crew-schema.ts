import { z } from 'zod';
import { oneOf } from './one-of.ts';
import { opening } from './staged-step-schema.ts';
import { span } from './time-text.ts';

/** The ready-made procedures of a crew. */
const procedures = [
  'restoration',
  'alarm-test',
  'main-drain-test',
  'trip-test',
  'devices-test',
  'prime-valve-maintenance',
] as const;

/** A step of the procedure, by its name. */
const step = z.string().min(1).max(60);

/** A mistake of the crew. Its verb says which. */
const mistake = oneOf('a mistake', {
  skip: z.strictObject({ skip: step }),
  swap: z.strictObject({ swap: step, with: step }),
  /** A valve is turned a part of its way only. */
  halfDo: z.strictObject({ halfDo: step, part: opening }),
  /** Done before another step; without one, without the waiting that is right before it. */
  tooEarly: z.strictObject({ tooEarly: step, before: step.optional() }),
  tooLate: z.strictObject({ tooLate: step, by: span }),
  /** Everybody leaves: neither the step nor anything behind it is done. */
  leaveBefore: z.strictObject({ leaveBefore: step }),
});

const point = z.int().min(0).max(65_535);

/** People who do a procedure at a pace of their own, drawn from the seed of the story. */
export const crew = z.strictObject({
  procedure: z.enum(procedures, { error: `expected a procedure, one of ${procedures.join(', ')}` }),
  /** When they stand ready, from the beginning. */
  at: span,
  /** The devices that a procedure operates or sets back; the first initiating device of the riser where they are left out. */
  points: z.array(point).min(1).max(100).optional(),
  /** How long the window of a test is that they announce. */
  forSeconds: z.number().positive().default(3_600),
  /** Each in what the ones above it have left. */
  mistakes: z.array(mistake).max(20).default([]),
});

/** A crew of a staged story, read. */
export type StagedCrew = z.output<typeof crew>;
