/** The answers to a PUBLISH that this project gives (MQTT 5, table 3-4). From 0x80 on the message was not accepted and is not sent again. */
export const reasonCode = {
  success: 0x00,
  notAuthorized: 0x87,
  topicNameInvalid: 0x90,
  quotaExceeded: 0x97,
  payloadFormatInvalid: 0x99,
} as const;

/** One of those answers. */
export type ReasonCode = (typeof reasonCode)[keyof typeof reasonCode];

/** One PUBLISH to be acknowledged. */
export interface Acknowledgement {
  readonly messageId: number;
  readonly reason: ReasonCode;
}

/**
 * PUBACK packets of MQTT 5 in one piece. With success the reason code is left out, which makes four bytes a packet;
 * otherwise it stands alone, without properties (MQTT 5, 3.4.2.1 and 3.4.2.2.1).
 */
export function encodeAcknowledgements(acknowledgements: readonly Acknowledgement[]): Buffer {
  const bytes = Buffer.allocUnsafe(acknowledgements.length * 5);
  let end = 0;
  for (const { messageId, reason } of acknowledgements) {
    const plain = reason === reasonCode.success;
    bytes[end] = 0x40;
    bytes[end + 1] = plain ? 2 : 3;
    bytes.writeUInt16BE(messageId, end + 2);
    if (!plain) bytes[end + 4] = reason;
    end += plain ? 4 : 5;
  }
  return bytes.subarray(0, end);
}
