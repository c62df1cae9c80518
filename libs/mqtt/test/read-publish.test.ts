import fc from 'fast-check';
import { generate, parser } from 'mqtt-packet';
import type { IPublishPacket, Packet } from 'mqtt-packet';
import { describe, expect, it } from 'vitest';
import { readPublish } from '../src/read-publish.ts';

const mqtt5 = { protocolVersion: 5 } as const;

/** What the library makes of the bytes; it tells of what is malformed by an error. */
function library(bytes: Buffer): IPublishPacket | undefined {
  const reader = parser(mqtt5);
  let read: Packet | undefined;
  reader.on('packet', (packet: Packet) => (read = packet));
  reader.on('error', () => undefined);
  reader.parse(bytes);
  return read?.cmd === 'publish' ? read : undefined;
}

/** Whatever the short cut answers, the library must answer too. */
function expectNoOtherAnswer(bytes: Buffer): void {
  const publish = readPublish(bytes);
  if (publish === undefined) return;
  const read = library(bytes);
  expect({ ...publish, payload: Buffer.from(publish.payload) }).toEqual({
    topic: read?.topic,
    payload: Buffer.from(read?.payload ?? 'not read'),
    qos: read?.qos,
    retain: read?.retain,
    messageId: read?.qos === 0 ? undefined : read?.messageId,
    contentType: read?.properties?.contentType,
  });
}

const properties = fc.record(
  {
    contentType: fc.string({ unit: 'grapheme', maxLength: 150 }),
    payloadFormatIndicator: fc.boolean(),
    responseTopic: fc.constant('elsewhere'),
    userProperties: fc.constant({ kind: 'panel' }),
  },
  { requiredKeys: [] },
);

const anyPublish: fc.Arbitrary<Buffer> = fc
  .record({
    topic: fc.string({ unit: 'grapheme', minLength: 1, maxLength: 300 }).filter((text) => !/[+#\u0000]/.test(text)),
    payload: fc.uint8Array({ maxLength: 20_000 }).map((bytes) => Buffer.from(bytes)),
    qos: fc.constantFrom(0 as const, 1 as const, 2 as const),
    retain: fc.boolean(),
    dup: fc.boolean(),
    messageId: fc.integer({ min: 1, max: 65_535 }),
    properties,
  })
  .map((fields) => generate({ cmd: 'publish', ...fields, dup: fields.dup && fields.qos > 0 }, mqtt5));

describe('the short cut through the parser of a PUBLISH', () => {
  it('answers as the library does for any PUBLISH', () => {
    fc.assert(fc.property(anyPublish, expectNoOtherAnswer), { numRuns: 500 });
  });

  it('answers as the library does when some of its bytes are others', () => {
    const places = fc.array(fc.tuple(fc.nat(40), fc.nat(255)), { minLength: 1, maxLength: 3 });
    fc.assert(
      fc.property(anyPublish, places, (packet, changes) => {
        const bytes = Buffer.from(packet);
        // The length stays: the cutter hands on whole packets only.
        for (const [place, byte] of changes) if (place > 4 && place < bytes.length) bytes[place] = byte;
        expectNoOtherAnswer(bytes);
      }),
      { numRuns: 2_000 },
    );
  });

  it('is taken by what panels send', () => {
    const sent = {
      cmd: 'publish',
      dup: false,
      qos: 1,
      messageId: 7,
      topic: 'risers/v1/a/b/signal',
      payload: '{}',
    } as const;

    for (const contentType of [undefined, 'application/cloudevents+json'])
      expect(
        readPublish(
          generate(
            { ...sent, retain: true, ...(contentType === undefined ? {} : { properties: { contentType } }) },
            mqtt5,
          ),
        ),
      ).toEqual({
        topic: sent.topic,
        payload: Buffer.from('{}'),
        qos: 1,
        retain: true,
        messageId: 7,
        contentType,
      });
  });

  it('leaves to the library what it must refuse, or may read otherwise', () => {
    const sent = { cmd: 'publish', dup: false, retain: false, messageId: 7, topic: 'a', payload: '{}' } as const;
    const plain = generate({ ...sent, qos: 1 }, mqtt5);
    const withByte = (place: number, byte: number): Buffer => {
      const bytes = Buffer.from(plain);
      bytes[place] = byte;
      return bytes;
    };

    expect(readPublish(plain)).toBeDefined();
    // Fixed header 2 bytes, topic 2 + 1, packet id 2, length of the properties 1.
    expect(readPublish(withByte(6, 0))).toBeUndefined();
    expect(readPublish(withByte(3, 0))).toBeUndefined();
    expect(readPublish(withByte(7, 200))).toBeUndefined();
    expect(readPublish(withByte(7, 4))).toBeUndefined();
    expect(readPublish(plain.subarray(0, 7))).toBeUndefined();
    expect(readPublish(generate({ ...sent, qos: 2 }, mqtt5))).toBeUndefined();
    expect(readPublish(generate({ ...sent, qos: 1, properties: { topicAlias: 1 } }, mqtt5))).toBeUndefined();
    expect(readPublish(generate({ cmd: 'pingresp' }, mqtt5))).toBeUndefined();
  });
});
