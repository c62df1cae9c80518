import type { ReadResp } from '@eventstore/db-client/generated/streams_pb.js';
import type { Instant, Json, JsonObject } from '@tidemark/kernel';
import { canonicalJson } from '@tidemark/kernel';
import type { ChainedText, EventId, Position, Revision, StoredEvent } from '@tidemark/journal';
import { parseEventId } from '@tidemark/journal';
import { ForeignHistory } from './faults.ts';
import type { ProposedEvent } from './requests.ts';
import type { ServerNames } from './server-names.ts';

/** What the server keeps beside the data of an event: everything of ours that it has no field of its own for. */
interface Envelope {
  readonly id: EventId;
  readonly hash: string;
  readonly recordedAt: Instant;
  readonly metadata: JsonObject;
}

/**
 * An event as the server is to keep it. Its id on the server is made of its hash, so that the server takes for a repeat
 * only the very same event in the very same place after the very same history. With the event's own id it would also
 * take another writer's event of that id for ours, whose hash is another since it was recorded at another time: it
 * would report success, and our next event would be chained to a hash that the stream does not hold.
 */
export const proposedOf = ({ id, type, data, metadata, recordedAt }: ChainedText, hash: string): ProposedEvent => ({
  serverId: serverIdOf(hash),
  type,
  data,
  metadata: `{"hash":"${hash}","id":"${id}","metadata":${metadata},"recordedAt":${String(recordedAt)}}`,
});

/** A UUID of version 8 (RFC 9562, section 5.8) from the first 128 bits of a hash, of which it replaces six. */
function serverIdOf(hash: string): string {
  const variant = ((Number.parseInt(hash.slice(16, 17), 16) & 0x3) | 0x8).toString(16);
  const parts = [hash.slice(0, 8), hash.slice(8, 12), `8${hash.slice(13, 16)}`, variant + hash.slice(17, 20)];
  return [...parts, hash.slice(20, 32)].join('-');
}

/** An event as it was read; nothing when it is not of this journal. */
export function storedOf(answer: ReadResp, names: ServerNames): StoredEvent | undefined {
  const record = answer.getEvent()?.getEvent();
  if (record === undefined) return undefined;
  const stream = names.parse(textOf(record.getStreamIdentifier()?.getStreamName_asU8()));
  if (stream === undefined) return undefined;
  const envelope = envelopeOf(textOf(record.getCustomMetadata_asU8()));
  return {
    stream,
    revision: BigInt(record.getStreamRevision()) as Revision,
    position: BigInt(record.getCommitPosition()) as Position,
    id: envelope.id,
    type: record.getMetadataMap().get('type') ?? '',
    data: textOf(record.getData_asU8()),
    metadata: canonicalJson(envelope.metadata),
    recordedAt: envelope.recordedAt,
    hash: envelope.hash,
  };
}

/** Throws `ForeignHistory` for an event in one of the journal's streams that the journal did not write. */
export function assertOurs({ stream, revision, hash, id }: StoredEvent): void {
  if (hash === '' || id === nil) throw new ForeignHistory(stream, revision, 'an event that this journal did not write');
}

const nil = '00000000-0000-0000-0000-000000000000' as EventId;

/** What cannot be read becomes an event without an id and a hash, which verification names and reading refuses. */
function envelopeOf(text: string): Envelope {
  const { id, hash, recordedAt, metadata } = objectOf(text);
  const known = parseEventId(typeof id === 'string' ? id : '');
  return {
    id: known.ok ? known.value : nil,
    hash: typeof hash === 'string' ? hash : '',
    recordedAt: (typeof recordedAt === 'number' ? recordedAt : 0) as Instant,
    metadata: isObject(metadata) ? metadata : {},
  };
}

function objectOf(text: string): JsonObject {
  try {
    const value = JSON.parse(text) as Json;
    return isObject(value) ? value : {};
  } catch {
    return {};
  }
}

const isObject = (value: Json | undefined): value is JsonObject =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

const textOf = (bytes: Uint8Array | undefined): string => Buffer.from(bytes ?? []).toString('utf8');
