import type { Quarantined, QuarantinePage } from '@tidemark/api';
import { moment } from '@tidemark/api';
import type { Position, RecordedEvent } from '@tidemark/journal';
import { streamPrefix } from '@tidemark/journal';
import { formatInstant } from '@tidemark/kernel';
import { z } from 'zod';
import { readPage } from './page.ts';
import type { PageRequest, StreamReader } from './page.ts';
import { payloadExcerpt } from './payload-excerpt.ts';

const stored = z.object({
  topic: z.string(),
  receivedAt: moment,
  reason: z.string(),
  detail: z.string(),
  contentType: z.string().optional(),
  payloadBase64: z.base64(),
  omitted_bytes: z.number().int().nonnegative().optional(),
});

/** A page of the quarantine of all risers, newest first. */
export async function quarantinePageOf(reader: StreamReader, request: PageRequest): Promise<QuarantinePage> {
  const after = request.cursor === undefined ? {} : { after: BigInt(request.cursor) as Position };
  const page = await readPage(
    reader.readAll({
      direction: 'backward',
      prefixes: [streamPrefix('quarantine')],
      limit: request.limit + 1,
      ...after,
    }),
    request.limit,
  );
  const last = page.items.at(-1);
  return {
    items: page.items.map(quarantinedOf),
    ...(page.following === undefined || last === undefined ? {} : { next: last.position.toString() }),
  };
}

function quarantinedOf(event: RecordedEvent): Quarantined {
  const place = { id: event.id, position: event.position.toString(), stream: event.stream };
  const parsed = stored.safeParse(event.data);
  if (!parsed.success)
    return {
      ...place,
      topic: '',
      receivedAt: formatInstant(event.recordedAt),
      reason: 'unreadable-record',
      detail: `This build cannot read the record: ${parsed.error.issues[0]?.message ?? 'not understood'}.`,
      payload: payloadExcerpt(Buffer.from(JSON.stringify(event.data)), 0),
    };
  const { payloadBase64, omitted_bytes, ...rest } = parsed.data;
  return { ...place, ...rest, payload: payloadExcerpt(Buffer.from(payloadBase64, 'base64'), omitted_bytes ?? 0) };
}
