import { hash } from 'node:crypto';
import type { Instant, JsonObject } from '@tidemark/kernel';
import { canonicalJson } from '@tidemark/kernel';
import type { EventId, Revision, StreamName } from './journal.ts';

/** What stands before the first event of every stream: 64 zeros. */
export const genesisHash = '0'.repeat(64);

/** What the hash of an event covers. The position is left out: it is the place in one store, and changes on import. */
export interface ChainedEvent {
  readonly stream: StreamName;
  readonly revision: Revision;
  readonly id: EventId;
  readonly type: string;
  readonly data: JsonObject;
  readonly metadata: JsonObject;
  readonly recordedAt: Instant;
}

/** The same with `data` and `metadata` as canonical JSON text, as they are stored and hashed. */
export interface ChainedText extends Omit<ChainedEvent, 'data' | 'metadata'> {
  readonly data: string;
  readonly metadata: string;
}

/**
 * The hash of an event in the chain of its stream, as 64 lower-case hexadecimal digits.
 *
 * To recompute it elsewhere: SHA-256 over the UTF-8 bytes of this one JSON object, written without spaces and with the
 * keys, at every depth, in the order of their UTF-16 code units; strings and numbers as ECMAScript's `JSON.stringify`
 * writes them (for text without lone surrogates that is RFC 8785):
 *
 *     {"data":{…},"id":"<uuid>","metadata":{…},"previous":"<hash>","recordedAt":<milliseconds since 1970>,
 *      "revision":"<decimal>","stream":"<name>","type":"<type>"}
 *
 * (one line, no line break). `previous` is the hash of the event before it in the same stream, or 64 zeros for the
 * first; `revision` is a string because it may exceed 2^53; metadata that was not given is `{}`.
 */
export const chainHash = (previousHash: string, event: ChainedEvent): string =>
  chainHashOfText(previousHash, {
    ...event,
    data: canonicalJson(event.data),
    metadata: canonicalJson(event.metadata),
  });

/** `chainHash` for an event whose data and metadata are already canonical text: the way of the adapters. */
export const chainHashOfText = (previousHash: string, event: ChainedText): string =>
  hash('sha256', textOf(previousHash, event));

// Every part but data and metadata is a number or of an alphabet that JSON writes as it is; the type may hold a quote.
const textOf = (previous: string, { data, id, metadata, recordedAt, revision, stream, type }: ChainedText): string =>
  `{"data":${data},"id":"${id}","metadata":${metadata},"previous":"${previous}",` +
  `"recordedAt":${String(recordedAt)},"revision":"${String(revision)}","stream":"${stream}","type":${JSON.stringify(type)}}`;
