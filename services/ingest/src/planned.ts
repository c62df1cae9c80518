import { createHash } from 'node:crypto';
import { deriveEventId, streamName } from '@tidemark/journal';
import type { NewEvent, StreamName } from '@tidemark/journal';
import { formatInstant } from '@tidemark/kernel';
import { encodeRiserEvent, receivedSignal } from '@tidemark/riser';
import type { RiserEvent } from '@tidemark/riser';
import { decode } from '@tidemark/signals';
import type { DecodeOptions, Link, Rejection, RiserKey, Signal } from '@tidemark/signals';
import type { Arrival, Verdict } from './arrival.ts';

/** An event to append for an arrival, and what follows when the stream holds it already. */
export interface Planned {
  readonly stream: StreamName;
  readonly event: NewEvent;
  /** An upper bound of what the journal counts for it. */
  readonly size_bytes: number;
  /** What is answered once it is durable. */
  readonly verdict: Verdict;
  /** Only for signals, which may come again: whose it is. */
  readonly source?: string;
}

/** An arrival and its place among all that this process received, which tells apart what came in one millisecond. */
export interface Numbered {
  readonly arrival: Arrival;
  readonly ordinal: number;
}

/** The most of a rejected payload that is kept; as base64 it still fits the journal's append. Choice of this project. */
export const keptPayload_bytes = 512 * 1024;

/** The most of a rejected message's topic and content type that is kept. Choice of this project. */
const keptText_characters = 1_000;

/** Room for names, times and the journal's own overhead. An escape makes three bytes of one at most where text had one already. */
const overhead_bytes = 2_000;
const escaping = 3;

const schema = { schema: 1 } as const;

const recorded: Verdict = { type: 'recorded' };
const repeated: Verdict = { type: 'repeated' };

/** Decides what is recorded for an arrival. Total: what cannot be read is a fact as well. */
export function planFor({ arrival, ordinal }: Numbered, options: DecodeOptions): Planned {
  const decoded = decode(arrival, options);
  if (!decoded.ok) return rejected({ arrival, ordinal }, decoded.failure);
  return decoded.value.type === 'signal'
    ? signalReceived(arrival, decoded.value.signal)
    : linkReported({ arrival, ordinal }, decoded.value);
}

/** What is recorded instead of a signal that the stream holds already. All else has the ordinal in its id, so it is new. */
export function repeatOf({ stream, event, source }: Planned, { arrival, ordinal }: Numbered): Planned | undefined {
  if (source === undefined) return undefined;
  const { receivedAt } = arrival;
  const id = deriveEventId(['signal-repeated', event.id, String(receivedAt), String(ordinal)]);
  const repeat: RiserEvent = { type: 'signal-repeated', id, receivedAt, source };
  return {
    stream,
    event: { id, ...encodeRiserEvent(repeat), metadata: { ...schema, repeats: event.id } },
    size_bytes: source.length * escaping + overhead_bytes,
    verdict: repeated,
  };
}

/** Written out rather than spread, since nearly every message is one. */
function signalReceived(arrival: Arrival, signal: Signal): Planned {
  const id = deriveEventId(['signal', signal.source, signal.id]);
  const { type, data } = encodeRiserEvent(receivedSignal(signal, { id, receivedAt: arrival.receivedAt }));
  return {
    stream: riserStream(signal.key),
    event: { id, type, data, metadata: { schema: schema.schema, signalId: signal.id } },
    size_bytes: arrival.payload.length * escaping + overhead_bytes,
    verdict: recorded,
    source: signal.source,
  };
}

/**
 * A link message has no identity of its own, and `up` after `down` may be the same bytes as before it: so each is
 * recorded, a redelivery too. Saying the same state twice changes nothing.
 */
function linkReported({ arrival, ordinal }: Numbered, { key, link, session }: Link): Planned {
  const { receivedAt } = arrival;
  const id = deriveEventId(['link-reported', link, session ?? '', String(receivedAt), String(ordinal)]);
  const event: RiserEvent = {
    type: 'link-reported',
    id,
    receivedAt,
    link,
    ...(session === undefined ? {} : { session }),
  };
  return {
    stream: riserStream(key),
    event: { id, ...encodeRiserEvent(event), metadata: schema },
    size_bytes: arrival.payload.length * escaping + overhead_bytes,
    verdict: recorded,
  };
}

const riserStream = ({ account, riser }: RiserKey): StreamName => streamName('riser', account, riser);

function rejected({ arrival, ordinal }: Numbered, { reason, detail, key }: Rejection): Planned {
  const { topic, payload, contentType, receivedAt, omitted_bytes } = arrival;
  const digest = createHash('sha256').update(payload).digest('hex');
  const kept = payload.subarray(0, keptPayload_bytes);
  const left_bytes = omitted_bytes + payload.length - kept.length;
  return {
    stream:
      key === undefined ? streamName('quarantine', 'unclaimed') : streamName('quarantine', key.account, key.riser),
    event: {
      id: deriveEventId(['signal-rejected', topic, digest, String(receivedAt), String(ordinal)]),
      type: 'signal-rejected',
      data: {
        topic: topic.slice(0, keptText_characters),
        receivedAt: formatInstant(receivedAt),
        reason,
        detail,
        ...(contentType === undefined ? {} : { contentType: contentType.slice(0, keptText_characters) }),
        payloadBase64: Buffer.from(kept.buffer, kept.byteOffset, kept.byteLength).toString('base64'),
        ...(left_bytes === 0 ? {} : { omitted_bytes: left_bytes }),
      },
      metadata: schema,
    },
    size_bytes: Math.ceil(kept.length / 3) * 4 + keptText_characters * 12 + overhead_bytes * escaping,
    verdict: { type: 'rejected', reason },
  };
}
