import * as z from 'zod';
import { eventReference, moment, position, riserKey } from './basics.ts';
import { action, alert, alertSummary } from './alert.ts';
import { finding } from './finding.ts';
import { hiddenElements, phases, restorationSteps, signalNames } from '@tidemark/words';
import { urgencies } from './words.ts';

const count = z.number().int().nonnegative();

/** What is known of one stretch of pipe. */
export const water = z.enum(['water', 'empty', 'unseen']);

/** What is known of one stretch of pipe. */
export type Water = z.infer<typeof water>;

/** The riser as one small upright figure: supply below the seat, the seat, the outlet, the piping above. */
export const waterline = z.object({
  supply: water,
  seat: z.enum(['shut', 'open', 'unseen']),
  outlet: water,
  piping: water,
});

/** The riser as one small upright figure. */
export type Waterline = z.infer<typeof waterline>;

/** The link between panel and station. */
export const link = z.object({
  state: z.enum(['unknown', 'up', 'down', 'stale']),
  since: moment.optional(),
  lastHeardAt: moment.optional().meta({ description: "The station's clock." }),
  clockOffset_ms: z.number().optional().meta({
    description:
      "The panel's clock minus the station's, at its quickest: negative by the transmission and any lag of the clock.",
  }),
});

/** What a list of risers says of each. */
export const riserSummary = riserKey.extend({
  site: z.object({ name: z.string(), timeZone: z.string() }),
  phase: z.enum(phases),
  phaseSince: moment.optional(),
  asOf: moment,
  headline: z.string().meta({ description: 'One plain sentence: what is the matter, with the decisive time in it.' }),
  urgency: z.enum(urgencies),
  deadline: z
    .object({ at: moment.meta({ description: "The station's clock." }), what: z.string() })
    .optional()
    .meta({ description: 'What decides next, or should have, and when.' }),
  openFindings: z.object({ critical: count, high: count, advisory: count, unacknowledged: count }),
  openAlerts: alertSummary,
  episodeBegan: moment.optional(),
  testEndsAt: moment.optional(),
  waterline,
  link,
});

/** What a list of risers says of each. */
export type RiserSummary = z.infer<typeof riserSummary>;

/** The last known state of a point, with both clocks. */
export const pointState = z.object({
  point: z.number().int().optional(),
  signal: z.enum(signalNames),
  label: z.string(),
  state: z.enum(['active', 'restored', 'never-seen', 'not-known']),
  since: moment.optional().meta({ description: "The panel's clock." }),
  heardAt: moment.optional().meta({ description: "The panel's clock." }),
  heardReceivedAt: moment.optional().meta({ description: "The station's clock." }),
  fresh: z.boolean().meta({ description: 'Whether the link was supervised as alive.' }),
});

/** The last known state of a point. */
export type PointState = z.infer<typeof pointState>;

/** Where a hidden part is believed to be, how surely, and why. */
export const inferredPosition = z.object({
  element: z.enum(hiddenElements),
  position: z.string(),
  certainty: z.number().min(0).max(1),
  why: z.string(),
  evidence: z.array(eventReference),
});

/** Where a hidden part is believed to be. */
export type InferredPosition = z.infer<typeof inferredPosition>;

/** One step back to service and how it stands. */
export const restorationStep = z.object({
  step: z.enum(restorationSteps),
  title: z.string(),
  status: z.enum(['proven', 'contradicted', 'waiting', 'cannot-be-seen']),
  detail: z.string(),
  evidence: z.array(eventReference),
  expects: z.enum(signalNames).optional(),
  by: moment.optional().meta({ description: "The station's clock." }),
  confirmedBy: z.string().optional(),
  confirmedAt: moment.optional(),
  caution: z.string().optional(),
});

/** One step back to service. */
export type RestorationStep = z.infer<typeof restorationStep>;

/** The open episode. */
export const episode = z.object({
  id: z.string(),
  began: moment,
  opener: z.string(),
  headline: z.string(),
  story: z.array(z.object({ at: moment, text: z.string(), evidence: eventReference })),
  eventCount: count,
});

/** The state of a riser as of one moment. */
export const riserView = riserSummary.extend({
  alerts: z.array(alert).meta({ description: 'What asks for a person, most urgent first.' }),
  actions: z.array(action).meta({ description: 'What people did, newest last.' }),
  position: position.optional().meta({ description: 'The journal as this view knows it; absent in an empty journal.' }),
  points: z.array(pointState),
  readings: z.array(
    z.object({
      name: z.enum(signalNames),
      point: z.number().int().optional(),
      value: z.number(),
      unit: z.string(),
      at: moment.meta({ description: "The panel's clock." }),
    }),
  ),
  positions: z.array(inferredPosition),
  episode: episode.optional(),
  restoration: z.array(restorationStep),
  findings: z.array(finding),
  test: z
    .object({
      origin: z.enum(['station', 'panel']),
      began: moment,
      endsAt: moment.optional(),
      expect: z.array(z.enum(signalNames)),
      seen: z.array(z.enum(signalNames)),
    })
    .optional(),
  impairment: z
    .object({ kind: z.enum(['planned', 'emergency']), reason: z.string(), began: moment, limitAt: moment })
    .optional(),
  counts: z.object({ signals: count, repeats: count }),
});

/** The state of a riser. */
export type RiserView = z.infer<typeof riserView>;

/** Every riser the station keeps, and the journal's position this is true for. */
export const riserList = z.object({ position: position.optional(), at: moment, risers: z.array(riserSummary) });

/** Every riser the station keeps. */
export type RiserList = z.infer<typeof riserList>;

/** Which moment of a riser is asked for: a time or a position; absent: now. */
export const asOfQuery = z.object({
  asOf: z
    .union([moment, position])
    .optional()
    .meta({ description: 'A time (RFC 3339, UTC, milliseconds; the clock of receipt) or a journal position.' }),
});
