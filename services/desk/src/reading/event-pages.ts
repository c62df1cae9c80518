import type { RiserEvents, RiserKey, RiserEvent as WireEvent } from '@tidemark/api';
import { riserEvent } from '@tidemark/api';
import type { RecordedEvent, Revision } from '@tidemark/journal';
import { streamName } from '@tidemark/journal';
import { formatInstant } from '@tidemark/kernel';
import type { RiserEvent } from '@tidemark/riser';
import { decodeRiserEvent } from '@tidemark/riser';
import { readPage } from './page.ts';
import type { PageRequest, StreamReader } from './page.ts';

/** Labels of the points by number, for showing. */
export type Labels = ReadonlyMap<number, string>;

/** A page of a riser's events, newest first. What this build cannot read is shown as such. */
export async function eventPage(
  reader: StreamReader,
  key: RiserKey,
  request: PageRequest,
  labels: Labels,
): Promise<RiserEvents> {
  const stream = streamName('riser', key.account, key.riser);
  const from = request.cursor === undefined ? {} : { from: BigInt(request.cursor) as Revision };
  const page = await readPage(
    reader.readStream(stream, { direction: 'backward', limit: request.limit + 1, ...from }),
    request.limit,
  );
  return {
    items: page.items.map((event) => eventOnTheWire(event, labels)),
    ...(page.following === undefined ? {} : { next: page.following.revision.toString() }),
  };
}

/** One recorded event as the contract tells it. */
export function eventOnTheWire(recorded: RecordedEvent, labels: Labels): WireEvent {
  const decoded = decodeRiserEvent(recorded);
  const place = { id: recorded.id, position: recorded.position.toString() };
  if (!decoded.ok)
    return { ...place, receivedAt: formatInstant(recorded.recordedAt), type: 'unreadable', reason: decoded.failure };
  // Parsed once more, so that a word the contract does not know is shown as unreadable and not passed on.
  const parsed = riserEvent.safeParse({
    ...place,
    receivedAt: formatInstant(decoded.value.receivedAt),
    ...contentOf(decoded.value, labels),
  });
  if (parsed.success) return parsed.data;
  const reason = parsed.error.issues[0]?.message ?? 'not understood';
  return { ...place, receivedAt: formatInstant(decoded.value.receivedAt), type: 'unreadable', reason };
}

function contentOf(event: RiserEvent, labels: Labels): object {
  switch (event.type) {
    case 'signal-received':
      return signalOf(event, labels);
    case 'signal-repeated':
      return { type: 'repeat', source: event.source };
    case 'link-reported':
      return { type: 'link', link: event.link, session: event.session };
    case 'command-given':
      return { type: 'command', by: event.by, command: event.command };
    case 'profile-installed':
      return { type: 'profile' };
    case 'time-reached':
      return { type: 'time' };
  }
}

function signalOf(event: Extract<RiserEvent, { type: 'signal-received' }>, labels: Labels): object {
  const { content, point, observedAt, sequence, source, text } = event;
  const state = content.kind === 'contact' ? content.state : content.kind === 'periodic-test' ? 'active' : 'performed';
  return {
    type: 'signal',
    signal: content.name,
    ...(content.kind === 'reading' ? { reading: { value: content.value, unit: content.unit } } : { state }),
    observedAt: observedAt === undefined ? undefined : formatInstant(observedAt),
    point,
    label: point === undefined ? undefined : labels.get(point),
    source,
    sequence: sequence?.toString(),
    text,
  };
}
