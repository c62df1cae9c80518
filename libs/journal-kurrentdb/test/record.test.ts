import shared from '@eventstore/db-client/generated/shared_pb.js';
import streams from '@eventstore/db-client/generated/streams_pb.js';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { instant } from '@tidemark/kernel';
import type { ChainedText, Position, Revision } from '@tidemark/journal';
import { deriveEventId, parseEventId, streamName } from '@tidemark/journal';
import { ForeignHistory } from '../src/faults.ts';
import { assertOurs, proposedOf, storedOf } from '../src/record.ts';
import { ServerNames } from '../src/server-names.ts';

const names = new ServerNames('tidemark');
const stream = streamName('riser', 'quayside-cold-store', 'deluge-1');
const hash = '0123456789abcdef'.repeat(4);
const event: ChainedText = {
  stream,
  revision: 7n as Revision,
  id: deriveEventId(['record']),
  type: 'waterflow-observed',
  data: '{"text":"flow — \\"8 L/min\\"\\u0000"}',
  metadata: '{"correlation":"x","schema":1}',
  recordedAt: instant(1_772_439_247_120),
};

/** What the server gives back for what it was given. */
function answerWith(serverStream: string, metadata: string, data = event.data): InstanceType<typeof streams.ReadResp> {
  const identifier = new shared.StreamIdentifier();
  identifier.setStreamName(Buffer.from(serverStream));
  const record = new streams.ReadResp.ReadEvent.RecordedEvent();
  record.setStreamIdentifier(identifier);
  record.setStreamRevision('7');
  record.setCommitPosition('4711');
  record.setPreparePosition('4711');
  record.getMetadataMap().set('type', event.type);
  record.setData(Buffer.from(data));
  record.setCustomMetadata(Buffer.from(metadata));
  const read = new streams.ReadResp.ReadEvent();
  read.setEvent(record);
  const answer = new streams.ReadResp();
  answer.setEvent(read);
  return streams.ReadResp.deserializeBinary(answer.serializeBinary());
}

describe('an event on the server', () => {
  it('comes back as it was given, with its position', () => {
    const answer = answerWith(names.stream(stream), proposedOf(event, hash).metadata);

    expect(storedOf(answer, names)).toEqual({ ...event, position: 4_711n as Position, hash });
  });

  it('keeps its data byte for byte, so that a change that means the same is seen', () => {
    const answer = answerWith(names.stream(stream), proposedOf(event, hash).metadata, '{"text": "other spaces"}');

    expect(storedOf(answer, names)?.data).toBe('{"text": "other spaces"}');
  });

  it('is not of this journal in a stream that is not', () => {
    for (const other of ['$stats-127.0.0.1', 'tidemark-checkpoint/twin', 'other/riser/x'])
      expect(storedOf(answerWith(other, '{}'), names)).toBeUndefined();
  });

  it.each(['', 'no JSON', '[]', '{}', '{"id":"x","hash":1,"recordedAt":"now","metadata":[]}', `{"hash":"${hash}"}`])(
    'is refused when its metadata is %j',
    (metadata) => {
      const stored = storedOf(answerWith(names.stream(stream), metadata), names);

      expect(stored).toBeDefined();
      if (stored !== undefined) expect(() => assertOurs(stored)).toThrow(ForeignHistory);
    },
  );
});

describe("the server's id of an event", () => {
  const digits = fc.array(fc.nat(15), { minLength: 64, maxLength: 64 });
  const hashes = digits.map((values) => values.map((digit) => digit.toString(16)).join(''));

  it('is a UUID of version 8 made of the hash', () => {
    // RFC 9562, section 5.8: version 8 in the upper four bits of byte 6, variant 10 in the upper two of byte 8.
    expect(proposedOf(event, hash).serverId).toBe('01234567-89ab-8def-8123-456789abcdef');
    fc.assert(
      fc.property(hashes, (any) => {
        const { serverId } = proposedOf(event, any);
        expect(parseEventId(serverId)).toMatchObject({ ok: true });
        expect(serverId).toMatch(/^.{14}8.{4}[89ab]/);
      }),
    );
  });

  it('differs when the hash differs within the bits that are kept', () => {
    fc.assert(
      fc.property(hashes, hashes, (one, other) => {
        const kept = (text: string): string => text.slice(0, 12) + text.slice(13, 16) + text.slice(17, 32);
        fc.pre(kept(one) !== kept(other));
        expect(proposedOf(event, one).serverId).not.toBe(proposedOf(event, other).serverId);
      }),
    );
  });
});
