import * as z from 'zod';
import { moment, next, position } from './basics.ts';
import { riserCommand } from './command.ts';
import { signalNames } from '@tidemark/words';

const recorded = {
  id: z.string(),
  position,
  receivedAt: moment.meta({ description: "The station's clock." }),
};

/** One recorded event of a riser, with both clocks where it has two. */
export const riserEvent = z.discriminatedUnion('type', [
  z.object({
    ...recorded,
    type: z.literal('signal'),
    observedAt: moment.optional().meta({ description: "The panel's clock; absent where the form has none." }),
    signal: z.enum(signalNames),
    state: z.enum(['active', 'restored', 'performed']).optional().meta({ description: 'Absent for a reading.' }),
    reading: z.object({ value: z.number(), unit: z.string() }).optional(),
    point: z.number().int().optional(),
    label: z.string().optional().meta({ description: "The point's label in the profile." }),
    source: z.string(),
    sequence: z.string().optional(),
    text: z.string().optional(),
  }),
  z.object({ ...recorded, type: z.literal('repeat'), source: z.string() }),
  z.object({ ...recorded, type: z.literal('link'), link: z.enum(['up', 'down']), session: z.string().optional() }),
  z.object({ ...recorded, type: z.literal('command'), by: z.string(), command: riserCommand }),
  z.object({ ...recorded, type: z.literal('profile') }),
  z.object({ ...recorded, type: z.literal('time') }),
  z.object({
    ...recorded,
    type: z.literal('unreadable'),
    reason: z.string().meta({ description: 'Why this build cannot read the record. It is shown, never skipped.' }),
  }),
]);

/** One recorded event of a riser. */
export type RiserEvent = z.infer<typeof riserEvent>;

/** A page of a riser's events, newest first. */
export const riserEvents = z.object({ items: z.array(riserEvent), next });

/** A page of a riser's events. */
export type RiserEvents = z.infer<typeof riserEvents>;
