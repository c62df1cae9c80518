import { fc, test } from '@fast-check/vitest';
import { PacketCutter, smallestPacketLimit_bytes } from '@tidemark/mqtt';
import type { PacketBytes } from '@tidemark/mqtt';
import { generate, parser } from 'mqtt-packet';
import type { Packet } from 'mqtt-packet';
import { describe, expect, it } from 'vitest';

const limit_bytes = smallestPacketLimit_bytes;

const publish = (payload: Buffer, messageId = 1): Buffer =>
  generate({ cmd: 'publish', qos: 1, dup: false, retain: false, messageId, topic: 'a/b', payload });

/** Feeds the bytes in pieces of the given sizes, over and over, and collects the packets. */
function cutInPieces(bytes: Buffer, sizes: readonly number[]): readonly PacketBytes[] {
  const cutter = new PacketCutter(limit_bytes);
  const packets: PacketBytes[] = [];
  for (let start = 0, turn = 0; start < bytes.length; turn += 1) {
    const size = sizes[turn % sizes.length] ?? 1;
    const cut = cutter.cut(bytes.subarray(start, start + size));
    if (!cut.ok) throw new Error(cut.failure);
    packets.push(...cut.value);
    start += size;
  }
  return packets;
}

function parse(bytes: Buffer): Packet {
  const packets: Packet[] = [];
  parser()
    .on('packet', (packet) => packets.push(packet))
    .parse(bytes);
  expect(packets).toHaveLength(1);
  return packets[0]!;
}

describe('a packet cutter', () => {
  test.prop([
    fc.array(fc.nat(40_000), { minLength: 1, maxLength: 8 }),
    fc.array(fc.integer({ min: 1, max: 9_000 }), { minLength: 1, maxLength: 5 }),
  ])('gives each packet whole and unchanged, however the bytes are cut', (payloadSizes, pieceSizes) => {
    const sent = payloadSizes.map((size, index) => publish(Buffer.alloc(size, index), index + 1));

    const packets = cutInPieces(Buffer.concat(sent), pieceSizes);

    expect(packets.map(({ bytes }) => bytes.equals(sent.shift()!))).toEqual(payloadSizes.map(() => true));
    expect(packets.every(({ omitted_bytes }) => omitted_bytes === 0)).toBe(true);
  });

  test.prop([
    fc.integer({ min: limit_bytes - 3, max: limit_bytes + 300_000 }),
    fc.array(fc.integer({ min: 1, max: 70_000 }), { minLength: 1, maxLength: 5 }),
  ])('gives the head of a packet that is larger than the limit, and what follows it', (payloadSize, pieceSizes) => {
    const large = publish(Buffer.alloc(payloadSize, 'x'));
    const after = publish(Buffer.from('after'), 2);

    const [head, next, ...more] = cutInPieces(Buffer.concat([large, after]), pieceSizes);

    const packet = parse(head!.bytes);
    if (packet.cmd !== 'publish') throw new Error('a PUBLISH stays one');
    expect(packet.topic).toBe('a/b');
    expect(packet.payload.length + head!.omitted_bytes).toBe(payloadSize);
    expect(head!.omitted_bytes).toBe(Math.max(0, large.length - limit_bytes));
    expect(next!.bytes.equals(after)).toBe(true);
    expect(more).toEqual([]);
  });

  it('refuses a length field of more than four bytes', () => {
    expect(new PacketCutter(limit_bytes).cut(Buffer.from([0x30, 0xff, 0xff, 0xff, 0xff, 0x01]))).toEqual({
      ok: false,
      failure: 'malformed-length',
    });
  });

  it('takes the largest length there is as announced', () => {
    // MQTT 5, 1.5.5: 0xFF 0xFF 0xFF 0x7F is 268,435,455.
    const cutter = new PacketCutter(limit_bytes);
    expect(cutter.cut(Buffer.from([0x30, 0xff, 0xff, 0xff, 0x7f]))).toEqual({ ok: true, value: [] });
    let packets: readonly PacketBytes[] = [];
    const mebibyte = Buffer.alloc(1024 * 1024);
    for (let sent = 0; sent < 256; sent += 1) {
      const cut = cutter.cut(sent === 255 ? mebibyte.subarray(1) : mebibyte);
      packets = cut.ok ? cut.value : [];
    }

    expect(packets.map(({ omitted_bytes }) => omitted_bytes)).toEqual([268_435_455 + 5 - limit_bytes]);
  });

  it('is not made with a limit that cannot hold the longest topic', () => {
    expect(() => new PacketCutter(65_000)).toThrow('a packet limit leaves room for the longest topic');
  });
});
