/** A PUBLISH as it came, with as much of it as the station reads. */
export interface Publish {
  readonly topic: string;
  readonly payload: Uint8Array;
  readonly qos: 0 | 1 | 2;
  readonly retain: boolean;
  /** Absent with QoS 0. */
  readonly messageId: number | undefined;
  readonly contentType: string | undefined;
}

/** The identifier of the content type among properties (MQTT 5, 3.3.2.3.9). */
const contentTypeProperty = 0x03;

/**
 * Reads a whole MQTT 5 PUBLISH of QoS 0 or 1 that has no property but a content type: nearly every one. `undefined`
 * says nothing about it: then the library's parser decides. It must never answer otherwise than that (a property test
 * compares them); it costs a fifth, and each signal passes here on its way to an acknowledgement.
 */
export function readPublish(packet: Buffer): Publish | undefined {
  const flags = packet[0] ?? 0;
  const qos = (flags & 0b0110) >> 1;
  if (flags >> 4 !== 3 || qos > 1) return undefined;
  let at = 1;
  while ((packet[at] ?? 0) >= 0x80) at += 1;
  at += 1;
  const topicStart = at + 2;
  const topicEnd = topicStart + uint16(packet, at);
  const propertiesStart = topicEnd + qos * 2;
  // The properties' own length; from 128 on it has more bytes.
  const properties_bytes = packet[propertiesStart] ?? 0x80;
  const payloadStart = propertiesStart + 1 + properties_bytes;
  if (properties_bytes >= 0x80 || topicEnd === topicStart || payloadStart > packet.length) return undefined;
  const contentType = readContentType(packet, propertiesStart + 1, payloadStart);
  const messageId = qos === 0 ? undefined : uint16(packet, topicEnd);
  if (contentType === 'other' || messageId === 0) return undefined;
  return {
    topic: packet.toString('utf8', topicStart, topicEnd),
    payload: packet.subarray(payloadStart),
    qos: qos === 0 ? 0 : 1,
    retain: (flags & 1) === 1,
    messageId,
    contentType: contentType?.text,
  };
}

/** The content type when it is the only property; `undefined` when there is none at all. */
function readContentType(packet: Buffer, start: number, end: number): { readonly text: string } | 'other' | undefined {
  if (start === end) return undefined;
  if (packet[start] !== contentTypeProperty || end - start < 3) return 'other';
  if (start + 3 + uint16(packet, start + 1) !== end) return 'other';
  return { text: packet.toString('utf8', start + 3, end) };
}

const uint16 = (bytes: Buffer, at: number): number => ((bytes[at] ?? 0) << 8) | (bytes[at + 1] ?? 0);
