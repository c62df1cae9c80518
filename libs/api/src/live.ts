import * as z from 'zod';
import { moment, position } from './basics.ts';
import { escalation } from './alert.ts';
import { riserList, riserSummary } from './riser.ts';

/**
 * How often a tick is sent. A comment cannot be seen by a page's event source, so the heartbeat is an event; and the
 * desk must say within two seconds that it was cut, so it is quick. A choice of this project.
 */
export const tick_ms = 700;

/** So long without anything heard, and the connection counts as lost; with the page's look at its clock that is within two seconds. */
export const lostAfter_ms = 1_750;

/** Whether the views follow the journal. */
export const following = z.enum(['catching-up', 'live', 'down']);

/** Whether the views follow the journal. */
export type Following = z.infer<typeof following>;

/** The events of `GET /api/live`, by name. */
export const liveEvents = {
  /** Everything, at the beginning and after a resync. `id:` is its position. */
  snapshot: riserList,
  /** A riser changed. `id:` is the position that changed it. */
  riser: z.object({ position: position.optional(), at: moment, riser: riserSummary }),
  /** Nobody did what an alert was owed; told once for each level. It has no `id:` of its own. */
  escalated: escalation,
  /** The stream goes on from `Last-Event-ID`; so many recorded events changed a riser meanwhile, and follow as `riser`. */
  resumed: z.object({ at: moment, changes: z.number().int().nonnegative() }),
  /** It cannot go on from there: what was missed is no longer kept. A snapshot follows. */
  resync: z.object({ reason: z.enum(['too-old', 'unknown-position']) }),
  /** The station's clock, every `tick_ms`. */
  tick: z.object({ at: moment, position: position.optional(), following }),
} as const;

/** The name of a live event. */
export type LiveEventName = keyof typeof liveEvents;

/** The data of a live event. */
export type LiveEvent<Name extends LiveEventName> = z.infer<(typeof liveEvents)[Name]>;
