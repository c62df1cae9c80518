import { actNames, contactNames, isInitiating, signalNames } from '@tidemark/signals';
import { z } from 'zod';
import { oneOf } from './one-of.ts';
import { measured } from './quantity-text.ts';
import { shift, span, when } from './time-text.ts';

/** A story tells at most so many repeats with one step. */
const maximumTimes = 1_000;

const text = z.string().min(1).max(200);

const timing = {
  /** When it truly is: `10m 30s` from the beginning, `+2s` after the step before. */
  at: when,
  /** The same again, with an identity of its own each time. */
  repeat: z.strictObject({ every: span, times: z.int().min(1).max(maximumTimes) }).optional(),
};

/** How what the panel says travels; what is left out is as `given.panel` says. */
const travel = {
  ...timing,
  /** From the panel to the station. */
  delay: span.optional(),
  /** Sent, with its sequence number, and never received. */
  lost: z.literal(true, { error: 'expected "true", or no such key' }).optional(),
  /** The same message, delivered again so long after its receipt. */
  again: z.array(span).max(20).optional(),
};

const spoken = {
  ...travel,
  point: z.int().min(0).max(65_535).optional(),
  text: text.optional(),
  /** The panel of the site that says it, where there are several. */
  panel: text.optional(),
  /** By how much the panel's clock is ahead (+) or behind (-). */
  clock: shift.optional(),
  id: text.optional(),
};

const lasting = [...contactNames, 'periodic-test'] as const;
const readings = signalNames.filter((name) =>
  ['prime-pressure', 'supply-pressure', 'system-pressure', 'flow'].includes(name),
);
/** The mistake where a word is none of a kind. */
export const signalWord = (kind: string, words: readonly string[]) => ({
  error: `expected ${kind}, one of ${words.join(', ')}`,
});

/** Devices that put the panel in alarm. */
export const initiatingNames = contactNames.filter(isInitiating);

/** A command to the station, as in a replay file (CONTRACT 7.1). */
export const commandWords = {
  command: z.enum(['test-begin', 'test-end', 'impairment-begin', 'impairment-end', 'acknowledge', 'confirm'], {
    error: 'expected test-begin, test-end, impairment-begin, impairment-end, acknowledge or confirm',
  }),
  forSeconds: z.number().positive().optional(),
  expect: z.array(z.enum(signalNames, signalWord('a signal name', signalNames))).optional(),
  kind: z.enum(['planned', 'emergency']).optional(),
  reason: text.optional(),
  finding: text.optional(),
  step: text.optional(),
};

const command = z.strictObject({ ...timing, id: text.optional(), ...commandWords });

/** One thing that was heard. Its verb says what it is. */
export const step = oneOf('a step', {
  active: z.strictObject({ ...spoken, active: z.enum(lasting, signalWord('a signal that lasts', lasting)) }),
  restored: z.strictObject({
    ...spoken,
    restored: z.enum(contactNames, signalWord('a signal that lasts', contactNames)),
  }),
  performed: z.strictObject({ ...spoken, performed: z.enum(actNames, signalWord('an act', actNames)) }),
  reading: z.strictObject({ ...spoken, reading: z.enum(readings, signalWord('a reading', readings)), value: measured }),
  link: z.strictObject({ ...travel, link: z.enum(['up', 'down']), session: text.optional() }),
  command,
  contactId: z.strictObject({ ...travel, contactId: z.string().min(1).max(100) }),
  payload: z.strictObject({
    ...travel,
    /** What arrived on the signal topic, as text. */
    payload: z.string().max(65_536),
    contentType: text.optional(),
  }),
  bytes: z.strictObject({
    ...travel,
    bytes: z.base64({ error: 'expected bytes in base64' }),
    contentType: text.optional(),
  }),
});

/** One thing that was heard, read. */
export type Step = z.output<typeof step>;
