import { formatInstant, invariant } from '@tidemark/kernel';
import type { Instant } from '@tidemark/kernel';
import { cloudEventContentType } from './content-form.ts';
import type { LinkPayload } from './link-schema.ts';
import { signalEvent } from './signal-schema.ts';
import type { SignalData, SignalEvent } from './signal-schema.ts';
import type { Signal, SignalContent } from './signal.ts';

/** A payload ready to publish. */
export interface Encoded {
  readonly payload: Uint8Array;
  readonly contentType: string;
}

/** A signal as a CloudEvent, before it becomes bytes; what a replay file holds on a line. */
export function signalEventOf(signal: Signal): SignalEvent {
  const event: SignalEvent = {
    specversion: '1.0',
    id: signal.id,
    source: signal.source,
    type: 'riser.signal.v1',
    subject: signal.key.riser,
    ...(signal.observedAt === undefined ? {} : { time: formatInstant(signal.observedAt) }),
    ...(signal.sequence === undefined ? {} : { sequence: signal.sequence.toString().padStart(sequence_digits, '0') }),
    data: dataOf(signal),
  };
  invariant(signalEvent.safeParse(event).success, 'a signal to be sent fits the schema it will be read with');
  return event;
}

/** Zero-padded, since CloudEvents orders sequences as text (FACTS 7.23). */
const sequence_digits = 10;

/** A signal as a CloudEvent in structured JSON mode, whichever form it came in. A signal that the schema refuses is a bug of the caller. */
export const encodeSignal = (signal: Signal): Encoded => ({
  payload: utf8.encode(JSON.stringify(signalEventOf(signal))),
  contentType: cloudEventContentType,
});

/** A link message for the topic of its riser. */
export function encodeLink(message: {
  readonly link: 'up' | 'down';
  readonly session?: string;
  readonly time?: Instant;
}): Encoded {
  const { link, session, time } = message;
  const payload: LinkPayload = {
    link,
    ...(session === undefined ? {} : { session }),
    ...(time === undefined ? {} : { time: formatInstant(time) }),
  };
  return { payload: utf8.encode(JSON.stringify(payload)), contentType: 'application/json' };
}

const utf8 = new TextEncoder();

function dataOf({ content, point, text }: Signal): SignalData {
  const named = { ...(point === undefined ? {} : { point }), ...(text === undefined ? {} : { text }) };
  return { ...said(content), ...named };
}

function said(content: SignalContent): SignalData {
  switch (content.kind) {
    case 'contact':
      return { signal: content.name, state: content.state };
    case 'act':
      return { signal: content.name, state: 'performed' };
    case 'periodic-test':
      return { signal: content.name, state: 'active' };
    case 'reading':
      return { signal: content.name, value: content.value, unit: content.unit };
  }
}
