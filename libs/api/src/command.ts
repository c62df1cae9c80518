import * as z from 'zod';
import { position } from './basics.ts';
import { callees, dispatchStages, dispatchUnits, findingCodes, restorationSteps, signalNames } from '@tidemark/words';

/** A day: longer test windows are a planned impairment. A choice of this project. */
const testLimit_s = 86_400;

/** Text a person typed: no control characters, since it is shown and printed. */
export const typed = (limit_characters: number) =>
  z
    .string()
    .trim()
    .min(1)
    .max(limit_characters)
    .regex(/^\P{Cc}+$/u, 'control characters are not allowed');

/** The longest shelving that may be asked for; the priority of the alert sets a shorter limit. A choice of this project. */
const shelvingLimit_s = 86_400;

const alertId = z.string().min(1).max(400).meta({ description: 'The `id` of an alert, as the riser lists it.' });

/** Which alerts are meant: every one of a finding's code, or one by its id. */
const target = { finding: z.enum(findingCodes).optional(), alert: alertId.optional() };

const namesOne = ({ finding, alert }: { readonly finding?: unknown; readonly alert?: unknown }): boolean =>
  (finding === undefined) !== (alert === undefined);

const one = 'expected either the code of a finding or the id of an alert';

/** What may be commanded, or put on record, from the desk. */
export const riserCommand = z.discriminatedUnion('command', [
  z.object({
    command: z.literal('test-begin'),
    forSeconds: z.number().positive().max(testLimit_s),
    expect: z.array(z.enum(signalNames)).max(signalNames.length),
  }),
  z.object({ command: z.literal('test-end') }),
  z.object({ command: z.literal('impairment-begin'), kind: z.enum(['planned', 'emergency']), reason: typed(500) }),
  z.object({ command: z.literal('impairment-end') }),
  z.object({ command: z.literal('acknowledge'), ...target }).refine(namesOne, one),
  z.object({ command: z.literal('confirm'), step: z.enum(restorationSteps) }),
  z.object({ command: z.literal('check-answered'), check: typed(60), found: typed(120) }),
  z
    .object({
      command: z.literal('shelve'),
      ...target,
      forSeconds: z.number().positive().max(shelvingLimit_s),
      reason: typed(500),
    })
    .refine(namesOne, one),
  z.object({ command: z.literal('unshelve'), ...target }).refine(namesOne, one),
  z.object({ command: z.literal('note'), text: typed(2_000) }),
  z.object({
    command: z.literal('call-recorded'),
    to: z.enum(callees),
    outcome: z.enum(['reached', 'not-reached']).meta({ description: 'A call that reached nobody fulfils nothing.' }),
    person: typed(80).optional(),
    note: typed(500).optional(),
    alert: alertId.optional(),
  }),
  z.object({
    command: z.literal('dispatch-recorded'),
    unit: z.enum(dispatchUnits),
    stage: z.enum(dispatchStages),
    reference: typed(80).optional(),
    note: typed(500).optional(),
    alert: alertId.optional(),
  }),
]);

/** What may be commanded, or put on record, from the desk. */
export type RiserCommand = z.infer<typeof riserCommand>;

/**
 * A command. Its author is whoever is logged in: a request that names one itself is refused. The same `id` again
 * changes nothing and succeeds, so a lost answer may be asked for anew.
 */
export const commandRequest = z.strictObject({
  id: z.uuid().meta({ description: 'Chosen by the caller; the same id again records nothing.' }),
  command: riserCommand,
});

/** A command on its way to the desk. */
export type CommandRequest = z.infer<typeof commandRequest>;

/** The command is recorded. */
export const commandReceipt = z.object({
  eventId: z.string(),
  position,
  fresh: z.boolean().meta({ description: 'False where the same command was recorded before.' }),
});

/** The command is recorded. */
export type CommandReceipt = z.infer<typeof commandReceipt>;
