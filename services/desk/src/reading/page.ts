import type { JournalReader, RecordedEvent } from '@tidemark/journal';

/** The part of the journal that pages are read from. */
export type StreamReader = Pick<JournalReader, 'readStream' | 'readAll'>;

/** Which page: `cursor` is `next` of the page before. */
export interface PageRequest {
  readonly cursor?: string | undefined;
  readonly limit: number;
}

/** Takes `limit` events, and the one after them, which begins the following page. */
export async function readPage(
  events: AsyncIterable<RecordedEvent>,
  limit: number,
): Promise<{ readonly items: readonly RecordedEvent[]; readonly following: RecordedEvent | undefined }> {
  const items: RecordedEvent[] = [];
  for await (const event of events) {
    if (items.length === limit) return { items, following: event };
    items.push(event);
  }
  return { items, following: undefined };
}
