import { z } from 'zod';
import { eventReference } from './finding-schema.ts';
import { pointNumber } from './signal-schema.ts';
import { hiddenElements, phases, signalNames } from '@tidemark/words';
import { wireName, wireTime } from './wire-text.ts';

const signalName = z.enum(signalNames);

const point = z.looseObject({
  point: pointNumber.optional(),
  signal: signalName,
  label: z.string(),
  state: z.enum(['active', 'restored', 'never-seen', 'not-known']),
  since: wireTime.optional(),
  heardAt: wireTime.optional(),
  fresh: z.boolean(),
});

/** Where a hidden part is believed to be: 0 means that nothing is known, 1 that a signal says so unopposed. */
const position = z.looseObject({
  element: z.enum(hiddenElements),
  position: z.string().min(1),
  certainty: z.number().min(0).max(1),
  evidence: z.array(eventReference),
});

const restorationStep = z.looseObject({
  step: z.string().min(1),
  status: z.enum(['proven', 'contradicted', 'waiting', 'cannot-be-seen']),
  detail: z.string(),
  evidence: z.array(eventReference),
});

/**
 * The state of a riser as of one moment (CONTRACT 4), retained. What a reader may rely on is listed here; the station
 * may say more. The retained message is replaced whole, never patched.
 */
export const statePayload = z.looseObject({
  account: wireName,
  riser: wireName,
  phase: z.enum(phases),
  phaseSince: wireTime.optional(),
  asOf: wireTime,
  points: z.array(point),
  positions: z.array(position),
  episode: z.looseObject({ id: z.string().min(1), began: wireTime, headline: z.string() }).optional(),
  restoration: z.array(restorationStep),
  link: z.looseObject({ state: z.enum(['unknown', 'up', 'down', 'stale']), since: wireTime.optional() }),
  test: z
    .looseObject({
      origin: z.enum(['station', 'panel']),
      began: wireTime,
      endsAt: wireTime.optional(),
      expect: z.array(signalName),
    })
    .optional(),
});

/** The state of a riser, as sent. */
export type StatePayload = z.input<typeof statePayload>;
