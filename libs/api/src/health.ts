import * as z from 'zod';
import { moment, position } from './basics.ts';
import { following } from './live.ts';

/** How the station is, and what a person must know before trusting it. */
export const health = z.object({
  status: z.enum(['ok', 'degraded']),
  at: moment,
  position: position.optional(),
  following,
  site: z.enum(['real', 'demo']),
  listensOn: z.string().meta({ description: 'The address the desk answers on.' }),
  reach: z.enum(['this-machine', 'network']).meta({ description: 'Who can reach that address.' }),
  notice: z.string(),
  risers: z.number().int().nonnegative().meta({ description: 'Those that the person sees.' }),
  live: z
    .object({
      clients: z.number().int().nonnegative(),
      droppedSlow: z.number().int().nonnegative().meta({ description: 'Clients cut off for reading too slowly.' }),
    })
    .optional()
    .meta({ description: 'Told to who has a role at all accounts.' }),
  parts: z.array(z.object({ part: z.string(), state: z.enum(['up', 'down']), detail: z.string() })),
});

/** How the station is. */
export type Health = z.infer<typeof health>;
