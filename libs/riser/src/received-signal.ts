import type { Instant } from '@tidemark/kernel';
import type { Signal } from '@tidemark/signals';
import type { RiserEvent } from './event.ts';

type SignalReceived = Extract<RiserEvent, { type: 'signal-received' }>;

/** A decoded signal as an event of its riser. `id` is the event's own: what evidence cites. */
export function receivedSignal(
  { source, observedAt, sequence, point, text, content }: Signal,
  { id, receivedAt }: { readonly id: string; readonly receivedAt: Instant },
): SignalReceived {
  const event: { -readonly [Key in keyof SignalReceived]: SignalReceived[Key] } = {
    type: 'signal-received',
    id,
    receivedAt,
    source,
    content,
  };
  if (observedAt !== undefined) event.observedAt = observedAt;
  if (sequence !== undefined) event.sequence = sequence;
  if (point !== undefined) event.point = point;
  if (text !== undefined) event.text = text;
  return event;
}
