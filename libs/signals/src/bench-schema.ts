import { z } from 'zod';
import { contactState, flowData, pointNumber, pressureData } from './signal-schema.ts';
import { vocabulary } from '@tidemark/words';
import { wireTime } from './wire-text.ts';

const changed = { point: pointNumber.optional(), time: wireTime.optional() };

/** A field contact, or the fault of a field circuit, that changed. */
const fieldContact = z.strictObject({
  signal: z.enum([...vocabulary.alarm, ...vocabulary.supervisory, ...vocabulary.trouble]),
  state: contactState,
  ...changed,
});

/**
 * A field contact or an analogue reading that changed, from the simulator to a panel under test (CONTRACT 1). The
 * words are those of signals; there is no CloudEvent around it, since it is wiring and not a message of a panel.
 */
export const contactPayload = z.discriminatedUnion('signal', [
  fieldContact,
  pressureData.extend(changed),
  flowData.extend(changed),
]);

/** A field contact or reading, as sent. */
export type ContactPayload = z.input<typeof contactPayload>;

/** A panel output that changed, from a panel under test to the simulator: the release circuit, active = energized. */
export const outputPayload = z.strictObject({ signal: z.literal('solenoid'), state: contactState, ...changed });

/** A panel output, as sent. */
export type OutputPayload = z.input<typeof outputPayload>;
