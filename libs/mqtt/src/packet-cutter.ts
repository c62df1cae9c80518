import type { Result } from '@tidemark/kernel';
import { fail, invariant, ok } from '@tidemark/kernel';

/** The fixed header is at most five bytes: type and flags, then one to four bytes of length (MQTT 5, 2.1.4). */
const longestHeader_bytes = 5;

/** The smallest limit that still holds the variable header of a PUBLISH: topic (2 + 65535 bytes) and properties. */
export const smallestPacketLimit_bytes = 128 * 1024;

/** One whole packet, or the head of one larger than the limit. */
export interface PacketBytes {
  /** The packet as received; its length field is rewritten when the tail was left out. */
  readonly bytes: Buffer;
  /** How much of the tail was left out: 0 unless the packet was larger than the limit. */
  readonly omitted_bytes: number;
}

interface Header {
  readonly size_bytes: number;
  readonly body_bytes: number;
}

/**
 * Cuts a byte stream into MQTT packets, holding at most `limit_bytes` of one. What is larger is not refused here, since
 * a source that refuses it would be sent it again for ever: the head is handed on with the size of what is missing.
 */
export class PacketCutter {
  readonly #limit_bytes: number;
  #pieces: Buffer[] = [];
  #held_bytes = 0;
  /** The header of the packet begun, once it is whole. */
  #header: Header | undefined;
  /** How much of an oversize packet's tail is still to come. */
  #tail_bytes = 0;

  constructor(limit_bytes: number) {
    invariant(limit_bytes >= smallestPacketLimit_bytes, 'a packet limit leaves room for the longest topic');
    this.#limit_bytes = limit_bytes;
  }

  /** The packets that `chunk` completes, in order. A length field of five bytes is no MQTT and ends the connection. */
  cut(chunk: Buffer): Result<readonly PacketBytes[], 'malformed-length'> {
    const packets: PacketBytes[] = [];
    let rest = chunk;
    while (rest.length > 0) {
      if (this.#tail_bytes > 0) {
        rest = this.#passTail(rest, packets);
        continue;
      }
      const header =
        this.#header ??
        readHeader(
          this.#held_bytes === 0 ? rest : Buffer.concat([...this.#pieces, rest.subarray(0, longestHeader_bytes)]),
        );
      if (header === 'malformed-length') return fail(header);
      if (header === 'incomplete') {
        this.#hold(rest);
        return ok(packets);
      }
      rest = this.#passHead(rest, header, packets);
    }
    return ok(packets);
  }

  /** Takes the part that is kept; a packet within the limit is then complete. Returns what follows. */
  #passHead(rest: Buffer, header: Header, packets: PacketBytes[]): Buffer {
    const total_bytes = header.size_bytes + header.body_bytes;
    const kept_bytes = Math.min(total_bytes, this.#limit_bytes);
    const wanted_bytes = kept_bytes - this.#held_bytes;
    this.#hold(rest.subarray(0, wanted_bytes));
    if (rest.length < wanted_bytes) {
      this.#header = header;
    } else if (total_bytes === kept_bytes) {
      packets.push({ bytes: this.#release(), omitted_bytes: 0 });
    } else {
      this.#header = header;
      this.#tail_bytes = total_bytes - kept_bytes;
    }
    return rest.subarray(wanted_bytes);
  }

  /** Passes over the tail of a packet that is too large; at its end the head is handed on. */
  #passTail(rest: Buffer, packets: PacketBytes[]): Buffer {
    const passed_bytes = Math.min(this.#tail_bytes, rest.length);
    this.#tail_bytes -= passed_bytes;
    if (this.#tail_bytes === 0 && this.#header !== undefined) {
      const omitted_bytes = this.#header.size_bytes + this.#header.body_bytes - this.#held_bytes;
      packets.push({ bytes: withLength(this.#release()), omitted_bytes });
    }
    return rest.subarray(passed_bytes);
  }

  #hold(piece: Buffer): void {
    if (piece.length === 0) return;
    this.#pieces.push(piece);
    this.#held_bytes += piece.length;
  }

  #release(): Buffer {
    const [first] = this.#pieces;
    const whole = this.#pieces.length === 1 && first !== undefined ? first : Buffer.concat(this.#pieces);
    this.#pieces = [];
    this.#held_bytes = 0;
    this.#header = undefined;
    return whole;
  }
}

function readHeader(bytes: Buffer): Header | 'incomplete' | 'malformed-length' {
  let body_bytes = 0;
  for (let index = 1; index < longestHeader_bytes; index += 1) {
    const byte = bytes[index];
    if (byte === undefined) return 'incomplete';
    body_bytes += (byte & 0x7f) * 128 ** (index - 1);
    if (byte < 0x80) return { size_bytes: index + 1, body_bytes };
  }
  return 'malformed-length';
}

/** The packet with its length field saying how long it is now. */
function withLength(head: Buffer): Buffer {
  const header = readHeader(head);
  invariant(typeof header === 'object', 'a packet that was cut has a whole header');
  const body = head.subarray(header.size_bytes);
  return Buffer.concat([head.subarray(0, 1), encodeLength(body.length), body]);
}

/** A variable byte integer (MQTT 5, 1.5.5). */
export function encodeLength(value: number): Buffer {
  const bytes: number[] = [];
  let rest = value;
  do {
    const digit = rest % 128;
    rest = Math.floor(rest / 128);
    bytes.push(rest > 0 ? digit | 0x80 : digit);
  } while (rest > 0);
  return Buffer.from(bytes);
}
