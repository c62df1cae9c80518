import { isAlertEvent } from '@tidemark/alerting';
import type { FindingHistory, RiserKey } from '@tidemark/api';
import { finding } from '@tidemark/api';
import type { RecordedEvent, Revision } from '@tidemark/journal';
import { streamName } from '@tidemark/journal';
import { formatInstant } from '@tidemark/kernel';
import { z } from 'zod';
import { readPage } from './page.ts';
import type { PageRequest, StreamReader } from './page.ts';

const stored = z.object({ finding });

/** A page of the findings' history, newest first. Phase changes and alerts of the same stream are left out. */
export async function findingPage(reader: StreamReader, key: RiserKey, request: PageRequest): Promise<FindingHistory> {
  const stream = streamName('finding', key.account, key.riser);
  const from = request.cursor === undefined ? {} : { from: BigInt(request.cursor) as Revision };
  const events = reader.readStream(stream, { direction: 'backward', ...from });
  const page = await readPage(onlyFindings(events), request.limit);
  return {
    items: page.items.map(findingItem),
    ...(page.following === undefined ? {} : { next: page.following.revision.toString() }),
  };
}

/** The messages about findings of a finding stream. */
export async function* onlyFindings(events: AsyncIterable<RecordedEvent>): AsyncIterable<RecordedEvent> {
  for await (const event of events) {
    if (event.type !== 'phase-changed' && !isAlertEvent(event.type)) yield event;
  }
}

/** One message about a finding as the contract tells it. */
export function findingItem(event: RecordedEvent): FindingHistory['items'][number] {
  const place = { id: event.id, position: event.position.toString(), recordedAt: formatInstant(event.recordedAt) };
  const parsed = stored.safeParse(event.data);
  if (parsed.success) return { ...place, type: 'finding', finding: parsed.data.finding };
  const issue = parsed.error.issues[0];
  return {
    ...place,
    type: 'unreadable',
    reason: `${event.type}: ${issue?.path.join('.') ?? ''}: ${issue?.message ?? ''}`,
  };
}
