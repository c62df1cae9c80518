import { unitsOf } from '@tidemark/kernel';
import { z } from 'zod';
import { cloudEvent } from './cloud-event-schema.ts';
import type { ReadEvent, SentEvent } from './cloud-event-schema.ts';
import { actNames, contactNames, pressureNames } from '@tidemark/words';
import { textOfAtMost } from './wire-text.ts';

/** CONTRACT 2. */
const maximumText_characters = 200;

/** Sixteen bits hold every point number in use; Contact ID has three digits. */
const maximumPoint = 65_535;

/** Far beyond any gauge in any unit, and still finite when turned into SI. */
const maximumReading = 1e9;

/** A contact's two states. */
export const contactState = z.enum(['active', 'restored']);
/** A point's number. */
export const pointNumber = z.int().min(0).max(maximumPoint);
const named = { point: pointNumber.optional(), text: textOfAtMost(maximumText_characters).optional() };
const measured = { value: z.number().min(-maximumReading).max(maximumReading), ...named };

const contactData = z.strictObject({ signal: z.enum(contactNames), state: contactState, ...named });
const actData = z.strictObject({ signal: z.enum(actNames), state: z.literal('performed'), ...named });
const periodicTestData = z.strictObject({ signal: z.literal('periodic-test'), state: z.literal('active'), ...named });
/** `data` of a pressure reading. */
export const pressureData = z.strictObject({
  signal: z.enum(pressureNames),
  unit: z.enum(unitsOf('pressure')),
  ...measured,
});
/** `data` of a flow reading. */
export const flowData = z.strictObject({ signal: z.literal('flow'), unit: z.enum(unitsOf('flow')), ...measured });

/** `data` of a signal: what each kind of signal must say, and nothing more (CONTRACT 2). */
const signalData = z.discriminatedUnion('signal', [contactData, actData, periodicTestData, pressureData, flowData], {
  error: 'expected a signal of the vocabulary, such as "waterflow"',
});

/** `data` of a signal, as sent. */
export type SignalData = z.infer<typeof signalData>;

/** A signal as a CloudEvent. */
export const signalEvent = cloudEvent('riser.signal.v1', signalData);

/** A signal as a CloudEvent, as sent. */
export type SignalEvent = SentEvent<'riser.signal.v1', typeof signalData>;

/** A signal as a CloudEvent, its times read. */
export type ReadSignalEvent = ReadEvent<'riser.signal.v1', typeof signalData>;
