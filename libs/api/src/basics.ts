import * as z from 'zod';

/** A moment: RFC 3339 in UTC with milliseconds. */
export const moment = z.iso.datetime({ precision: 3 }).meta({ description: 'RFC 3339 in UTC with milliseconds.' });

/**
 * A place in the journal: opaque decimal digits. For a person with a role at all accounts they are in the journal's
 * order. For a person bound to accounts they are sealed, since the distance between two would tell how much is recorded
 * for others; a sealed one holds until the station starts anew.
 */
export const position = z
  .string()
  .regex(/^\d{1,39}$/)
  .meta({ description: 'A place in the journal, opaque. Sealed, and without order, for a person bound to accounts.' });

const segment = /^[a-z0-9][a-z0-9-]{0,62}$/;

/** Names one riser: the two path parameters. */
export const riserKey = z.object({
  account: z.string().regex(segment).meta({ description: 'The account of the site.' }),
  riser: z.string().regex(segment).meta({ description: 'The riser within the account.' }),
});

/** Names one riser. */
export type RiserKey = z.infer<typeof riserKey>;

/** Cites a recorded event: its id, what it was in a word, and the panel's clock (receipt where it has none). */
export const eventReference = z.object({ id: z.string(), what: z.string(), at: moment });

/** A cited event. */
export type EventReference = z.infer<typeof eventReference>;

/** The most items a page of a list may carry. A choice of this project. */
export const pageLimit_items = 500;

/** Which part of a list is read: newest first, and from where. */
export const paging = z.object({
  cursor: z
    .string()
    .regex(/^\d{1,18}$/)
    .optional()
    .meta({ description: 'Where to go on: `next` of the page before. Without it the newest come first.' }),
  limit: z.coerce
    .number()
    .int()
    .min(1)
    .max(pageLimit_items)
    .default(100)
    .meta({ description: 'The most items returned.' }),
});

/** The same of a list that is in the journal's order: its cursor is a position. */
export const positionPaging = paging.extend({
  cursor: position.optional().meta({ description: 'Where to go on: `next` of the page before.' }),
});

/** Where the next, older page begins; absent on the last one. */
export const next = z.string().optional();
