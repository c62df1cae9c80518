import type { Instant } from '@tidemark/kernel';
import type { Signal } from '@tidemark/signals';
import type { RiserEvent } from './event.ts';

/** A decoded signal as an event of its riser. `id` is the event's own: what evidence cites. */
export const receivedSignal = (
  { source, observedAt, sequence, point, text, content }: Signal,
  { id, receivedAt }: { readonly id: string; readonly receivedAt: Instant },
): Extract<RiserEvent, { type: 'signal-received' }> => ({
  type: 'signal-received',
  id,
  receivedAt,
  source,
  content,
  ...(observedAt === undefined ? {} : { observedAt }),
  ...(sequence === undefined ? {} : { sequence }),
  ...(point === undefined ? {} : { point }),
  ...(text === undefined ? {} : { text }),
});
