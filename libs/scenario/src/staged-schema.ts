import { causeIds } from '@tidemark/words';
import type { CauseId } from '@tidemark/words';
import { z } from 'zod';
import { catalogueRows } from './catalogue-rows.ts';
import { crew } from './crew-schema.ts';
import { dueKeys, dueOf, opening, plantValves, stagedStep } from './staged-step-schema.ts';
import { span } from './time-text.ts';

/** Where the riser stands at the beginning: in standby, but for the valves named. */
const plant = z.union(
  [
    z.literal('standby').transform(() => ({ seed: 1, valves: {} })),
    z.strictObject({
      /** Of everything that chance decides. */
      seed: z.int().min(0).max(0xffff_ffff).default(1),
      valves: z.partialRecord(z.enum(plantValves), opening).default({}),
    }),
  ],
  { error: `expected "standby", or a mapping with "seed" and "valves" (${plantValves.join(', ')})` },
);

const panel = z.strictObject({
  /** Automatic detectors release by twos. */
  crossZoned: z.boolean().default(false),
});

const link = z.strictObject({
  /** The last part of the signals' source. */
  name: z
    .string()
    .regex(/^[a-z0-9-]{1,60}$/, { error: 'expected a-z, 0-9 and "-"' })
    .default('panel-1'),
  /** How long a message takes, and up to how much longer. */
  delay: span.prefault('200ms'),
  spread: span.prefault('0s'),
  sequence: z.boolean().default(true),
});

const rowsOf = (cause: CauseId): readonly string[] => catalogueRows[cause];

/** A fault by the id of its cause, from a moment on. */
const fault = z
  .strictObject({
    ...dueKeys,
    cause: z.enum(causeIds, { error: `expected the id of a cause, one of ${causeIds.join(', ')}` }),
    /** The row of the fault catalogue where a cause has several. */
    row: z.string().optional(),
    /** Tells several ways of one row apart. */
    form: z.string().min(1).max(60).optional(),
    /** How bad it is, in the unit that its injection names; as usual where it is left out. */
    size: z.number().positive().optional(),
    /** How long it holds; for good where it is left out. */
    lasts: span.optional(),
    /** The point that it is about, where the riser has several. */
    point: z.int().min(0).max(65_535).optional(),
  })
  .transform((given, context) => {
    const rows = rowsOf(given.cause);
    if (given.row !== undefined && !rows.includes(given.row))
      context.addIssue({
        code: 'custom',
        path: ['row'],
        message: `expected ${rows.length === 0 ? 'no row' : `a row of ${given.cause}: ${rows.join(', ')}`}`,
      });
    return { ...given, due: dueOf(given, context) };
  });

/** A story told by a plant, its panel, its people and its faults. */
export const staged = z.strictObject({
  plant,
  panel: panel.prefault({}),
  link: link.prefault({}),
  faults: z.array(fault).max(100).default([]),
  /** In their order: a step is awaited only when the one above it is done. */
  steps: z.array(stagedStep).max(1_000).default([]),
  /** People who work beside the steps, at a pace of their own. */
  crews: z.array(crew).max(10).default([]),
});

/** What a staged story is given, read. */
export type StagedGiven = z.output<typeof staged>;

/** A fault of a staged story, read. */
export type StagedFault = StagedGiven['faults'][number];
