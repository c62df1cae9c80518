import { generate, parser } from 'mqtt-packet';
import type { IConnackPacket, ISubackPacket, Packet } from 'mqtt-packet';
import type { ReasonCode } from './reason-code.ts';
import { reasonCode } from './reason-code.ts';

/** What CONNACK tells a client of the broker, and the id given to one that came without. */
export interface Mqtt5Offer {
  readonly receiveMaximum: number;
  readonly packet_bytes: number;
  readonly assignedClientId: string | undefined;
}

const mqtt5 = { protocolVersion: 5 } as const;

/** CONNACK return codes of MQTT 3.1.1 (table 3.1) as reason codes of MQTT 5 (table 3-1). */
const connectReasons: Readonly<Record<number, number>> = { 0: 0x00, 1: 0x84, 2: 0x85, 3: 0x88, 4: 0x86, 5: 0x87 };

/** SUBACK and UNSUBACK: not authorized. */
const refusedFilter = 0x87;

/**
 * Rewrites the broker library's answers, which are MQTT 3.1.1, for a client that speaks MQTT 5: CONNACK says what the
 * broker does not offer, PUBACK carries the reason. Properties of a PUBLISH do not reach subscribers.
 */
export class Mqtt5Answers {
  readonly #offer: Mqtt5Offer;
  readonly #fromBroker = parser({ protocolVersion: 4 });
  readonly #reasons = new Map<number, ReasonCode>();
  readonly #unsubscribed = new Map<number, number>();
  #out: Buffer[] = [];
  #connected = false;

  constructor(offer: Mqtt5Offer) {
    this.#offer = offer;
    this.#fromBroker.on('packet', (packet: Packet) => this.#out.push(generate(this.#rewritten(packet), mqtt5)));
  }

  /** The DISCONNECT that ends the connection with a reason; none before CONNACK, when it is not allowed. */
  disconnect(reasonCode: number): Buffer {
    return this.#connected ? generate({ cmd: 'disconnect', reasonCode }, mqtt5) : Buffer.alloc(0);
  }

  /** The reason that the PUBACK of this packet shall carry. */
  answer(messageId: number, reason: ReasonCode): void {
    if (reason !== reasonCode.success) this.#reasons.set(messageId, reason);
  }

  /** MQTT 5 answers each filter of an UNSUBSCRIBE; the library's answer does not say how many there were. */
  expectUnsuback(unsubscribe: Buffer): void {
    const fromClient = parser(mqtt5);
    fromClient.on('packet', (packet) => {
      if (packet.cmd === 'unsubscribe' && packet.messageId !== undefined)
        this.#unsubscribed.set(packet.messageId, packet.unsubscriptions.length);
    });
    // What cannot be parsed ends the connection where the library reads it.
    fromClient.on('error', () => undefined);
    fromClient.parse(unsubscribe);
  }

  rewrite(bytes: Buffer): Buffer {
    this.#fromBroker.parse(bytes);
    const out = Buffer.concat(this.#out);
    this.#out = [];
    return out;
  }

  #rewritten(packet: Packet): Packet {
    const messageId = packet.messageId ?? 0;
    switch (packet.cmd) {
      case 'connack':
        return this.#connack(packet);
      case 'puback': {
        const reason = this.#reasons.get(messageId) ?? reasonCode.success;
        this.#reasons.delete(messageId);
        return { cmd: 'puback', messageId, reasonCode: reason };
      }
      case 'pubrec':
      case 'pubrel':
      case 'pubcomp':
        return { cmd: packet.cmd, messageId, reasonCode: 0 };
      case 'suback':
        return { cmd: 'suback', messageId, granted: granted(packet) };
      case 'unsuback': {
        const filters = this.#unsubscribed.get(messageId) ?? 1;
        this.#unsubscribed.delete(messageId);
        return { cmd: 'unsuback', messageId, granted: new Array<number>(filters).fill(0) };
      }
      default:
        return packet;
    }
  }

  #connack({ returnCode = 0 }: IConnackPacket): IConnackPacket {
    const { receiveMaximum, packet_bytes, assignedClientId } = this.#offer;
    this.#connected = returnCode === 0;
    const refusal = connectReasons[returnCode] ?? 0x80;
    if (!this.#connected) return { cmd: 'connack', sessionPresent: false, reasonCode: refusal };
    return {
      cmd: 'connack',
      sessionPresent: false,
      reasonCode: 0,
      properties: {
        sessionExpiryInterval: 0,
        receiveMaximum,
        maximumPacketSize: packet_bytes,
        topicAliasMaximum: 0,
        subscriptionIdentifiersAvailable: false,
        sharedSubscriptionAvailable: false,
        ...(assignedClientId === undefined ? {} : { assignedClientIdentifier: assignedClientId }),
      },
    };
  }
}

const granted = (suback: ISubackPacket): number[] =>
  suback.granted.map((code) => (typeof code === 'number' && code < 0x80 ? code : refusedFilter));
