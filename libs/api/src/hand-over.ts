import * as z from 'zod';
import { moment, next, position } from './basics.ts';
import { typed } from './command.ts';

/** A shift is handed over by whoever is logged in. The same `id` again changes nothing and succeeds. */
export const handOverRequest = z.strictObject({
  id: z.uuid().meta({ description: 'Chosen by the caller; the same id again records nothing.' }),
  to: typed(80).meta({ description: 'Who takes the shift.' }),
  note: typed(2_000),
});

/** A hand-over on its way to the desk. */
export type HandOverRequest = z.infer<typeof handOverRequest>;

/** One hand-over, with what was left open at that moment. */
export const handOver = z.object({
  id: z.string(),
  position,
  at: moment,
  from: z.string(),
  to: z.string(),
  note: z.string(),
  open: z.array(
    z.object({
      riser: z.string(),
      alert: z.string(),
      label: z.string(),
      state: z.string(),
      overdue: z.array(z.string()).meta({ description: 'Duties past their deadline.' }),
    }),
  ),
});

/** One hand-over. */
export type HandOver = z.infer<typeof handOver>;

/** A page of an account's hand-overs, newest first. */
export const handOvers = z.object({ items: z.array(handOver), next });

/** A page of hand-overs. */
export type HandOvers = z.infer<typeof handOvers>;
