import type { Accounts, Quarantined, QuarantinePage } from '@tidemark/api';
import { moment } from '@tidemark/api';
import type { RecordedEvent } from '@tidemark/journal';
import { streamPrefix } from '@tidemark/journal';
import { formatInstant } from '@tidemark/kernel';
import { z } from 'zod';
import type { WirePositions } from '../access/wire-positions.ts';
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

/** Whose quarantine is read. What nobody could claim is told to who sees everything. */
export interface QuarantineReader {
  readonly accounts: Accounts;
  readonly positions: WirePositions;
}

/** A page of the quarantine of these accounts, newest first. A cursor that was never told is as one past the end. */
export async function quarantinePageOf(
  reader: StreamReader,
  request: PageRequest,
  { accounts, positions }: QuarantineReader,
): Promise<QuarantinePage> {
  const cursor = request.cursor === undefined ? undefined : positions.read(request.cursor);
  if (request.cursor !== undefined && cursor === undefined) return { items: [] };
  const after = cursor === undefined ? {} : { after: cursor };
  const prefixes =
    accounts === 'all'
      ? [streamPrefix('quarantine')]
      : [...accounts].map((account) => streamPrefix('quarantine', account));
  const page = await readPage(
    reader.readAll({
      direction: 'backward',
      prefixes,
      limit: request.limit + 1,
      ...after,
    }),
    request.limit,
  );
  const last = page.items.at(-1);
  return {
    items: page.items.map(quarantinedOf),
    ...(page.following === undefined || last === undefined ? {} : { next: positions.write(last.position) }),
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
