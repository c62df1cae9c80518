import { z } from 'zod';
import { cloudEvent } from './cloud-event-schema.ts';
import { textOfAtMost, wireTime } from './wire-text.ts';

const maximumSession_characters = 200;

/**
 * Whether the panel is connected; retained, and its last will (CONTRACT 1). Session and time may be missing, since a
 * last will is written before it is true. Members we do not know are let through.
 */
export const linkPayload = z.looseObject({
  link: z.enum(['up', 'down']),
  session: textOfAtMost(maximumSession_characters).optional(),
  time: wireTime.optional(),
});

/** A link message, as sent. */
export type LinkPayload = z.input<typeof linkPayload>;

/** A link message in a replay file (CONTRACT 7.1). */
export const linkEvent = cloudEvent('riser.link.v1', linkPayload);
