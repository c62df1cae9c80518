import { alertClasses, alertPriorities, alertStates, duties } from '@tidemark/words';
import * as z from 'zod';
import { moment } from './basics.ts';
import { riserCommand } from './command.ts';

const signed = { by: z.string(), at: moment };

/** Where a deadline comes from, and how sure that is. */
const deadlineSource = z.object({
  text: z.string(),
  certainty: z.enum(['found', 'clause-from-memory', 'from-memory', 'choice-of-this-project', 'set-by-the-profile']),
});

/** One thing that people owe an alert, by when, and how it stands. */
export const alertDuty = z.object({
  duty: z.enum(duties),
  title: z.string(),
  state: z.enum(['waiting', 'open', 'overdue', 'fulfilled', 'lapsed']),
  opensAt: moment,
  dueAt: moment.meta({ description: "The station's clock. At this very moment it is still in time." }),
  fulfilled: z.object({ ...signed, late: z.boolean() }).optional(),
  source: deadlineSource,
});

/** What asks for a person: a finding, or a signal that stands by itself. */
export const alert = z.object({
  id: z.string(),
  class: z.enum(alertClasses).meta({ description: 'A signal by its class, a finding by its severity.' }),
  name: z.string().meta({ description: 'The code of the finding or the name of the signal.' }),
  label: z.string(),
  finding: z.string().optional().meta({ description: 'The id of the finding it tells of.' }),
  state: z.enum(alertStates).meta({ description: 'After ISA-18.2 / IEC 62682.' }),
  active: z.boolean().meta({ description: 'Whether what it tells of stands now, whatever its state.' }),
  priority: z.enum(alertPriorities).meta({ description: 'Inaction included: each level of escalation is one higher.' }),
  level: z.number().int().nonnegative().meta({ description: 'How far inaction has escalated; 0: nothing is overdue.' }),
  escalatedTo: z.string().optional(),
  awaitsAnswer: z.boolean(),
  raisedAt: moment.meta({ description: 'When the present occasion began.' }),
  returnedAt: moment.optional(),
  activations: z.number().int().positive(),
  acknowledged: z.object(signed).optional(),
  shelving: z.object({ since: moment, until: moment, by: z.string(), reason: z.string() }).optional(),
  aside: z.object({ as: z.enum(['suppressed', 'out-of-service']), why: z.string() }).optional(),
  shelvingLimit_s: z.number().nonnegative().meta({ description: '0: it may not be shelved.' }),
  duties: z.array(alertDuty),
});

/** What asks for a person. */
export type Alert = z.infer<typeof alert>;

/** What a person commanded or put on record. */
export const action = z.object({
  id: z.string(),
  ...signed,
  command: riserCommand,
  inEpisode: z.boolean().meta({ description: 'Whether it belongs to the open episode.' }),
});

/** What a list says of a riser's alerts. */
export const alertSummary = z.object({
  unacknowledged: z.number().int().nonnegative(),
  unanswered: z
    .array(z.object({ alert: z.string(), label: z.string() }))
    .meta({ description: 'What nobody has acknowledged, most urgent first: the very alerts that a list may answer.' }),
  shelved: z.number().int().nonnegative(),
  overdue: z.number().int().nonnegative().meta({ description: 'Duties past their deadline.' }),
  level: z.number().int().nonnegative().meta({ description: 'The highest level of escalation.' }),
  nextDuty: z
    .object({
      alert: z.string(),
      duty: z.enum(duties),
      title: z.string(),
      dueAt: moment,
      state: z.enum(['open', 'overdue']),
    })
    .optional()
    .meta({ description: 'What is due first, or should have been done longest ago.' }),
});

/** Nobody did what was due, and more people are to know. */
export const escalation = z.object({
  at: moment,
  account: z.string(),
  riser: z.string(),
  alert: z.string(),
  level: z.number().int().positive(),
  priority: z.enum(alertPriorities),
  to: z.string(),
  duty: z.enum(duties),
  dueAt: moment,
});

/** The deadlines that hold for a riser, each with its source. */
export const deadlineTable = z.object({
  caution: z.string(),
  duties: z.array(
    z.object({
      class: z.enum(alertClasses),
      duty: z.enum(duties),
      title: z.string(),
      opensAfter_s: z.number().nonnegative(),
      within_s: z.number().positive(),
      applies: z.boolean(),
      source: deadlineSource,
    }),
  ),
  shelving_s: z.object({
    emergency: z.number(),
    high: z.number(),
    medium: z.number(),
    low: z.number(),
  }),
  escalation: z.array(z.object({ after_s: z.number(), to: z.string() })),
  retrigger_s: z.number(),
});

/** The deadlines that hold for a riser. */
export type DeadlineTable = z.infer<typeof deadlineTable>;
