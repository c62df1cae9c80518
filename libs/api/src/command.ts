import * as z from 'zod';
import { position } from './basics.ts';
import { findingCodes, restorationSteps, signalNames } from '@tidemark/words';

/** A day: longer test windows are a planned impairment. A choice of this project. */
const testLimit_s = 86_400;

/** Text a person typed: no control characters, since it is shown and printed. */
const typed = (limit_characters: number) =>
  z
    .string()
    .trim()
    .min(1)
    .max(limit_characters)
    .regex(/^\P{Cc}+$/u, 'control characters are not allowed');

/** What may be commanded from the desk. */
export const riserCommand = z.discriminatedUnion('command', [
  z.object({
    command: z.literal('test-begin'),
    forSeconds: z.number().positive().max(testLimit_s),
    expect: z.array(z.enum(signalNames)).max(signalNames.length),
  }),
  z.object({ command: z.literal('test-end') }),
  z.object({ command: z.literal('impairment-begin'), kind: z.enum(['planned', 'emergency']), reason: typed(500) }),
  z.object({ command: z.literal('impairment-end') }),
  z.object({ command: z.literal('acknowledge'), finding: z.enum(findingCodes) }),
  z.object({ command: z.literal('confirm'), step: z.enum(restorationSteps) }),
]);

/** What may be commanded from the desk. */
export type RiserCommand = z.infer<typeof riserCommand>;

/** A command with its author. The same `id` again changes nothing and succeeds, so a lost answer may be asked for anew. */
export const commandRequest = z.object({
  id: z.uuid().meta({ description: 'Chosen by the caller; the same id again records nothing.' }),
  by: typed(80).meta({ description: 'The name the person gave. This station has no login: nothing proves it.' }),
  command: riserCommand,
});

/** A command with its author. */
export type CommandRequest = z.infer<typeof commandRequest>;

/** The command is recorded. */
export const commandReceipt = z.object({
  eventId: z.string(),
  position,
  fresh: z.boolean().meta({ description: 'False where the same command was recorded before.' }),
});

/** The command is recorded. */
export type CommandReceipt = z.infer<typeof commandReceipt>;
