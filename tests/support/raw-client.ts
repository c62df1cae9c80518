import { connect } from 'node:net';
import type { Socket } from 'node:net';
import { generate, parser } from 'mqtt-packet';
import type { Packet } from 'mqtt-packet';
import { until } from './until.ts';

/** An MQTT client that does only what it is told and keeps every packet it gets, to see exactly what is answered. */
export class RawClient {
  readonly received: Packet[] = [];
  readonly #socket: Socket;
  readonly #protocolVersion: 4 | 5;
  closed = false;

  constructor(port: number, protocolVersion: 4 | 5) {
    this.#protocolVersion = protocolVersion;
    const incoming = parser({ protocolVersion });
    incoming.on('packet', (packet) => this.received.push(packet));
    this.#socket = connect(port, '127.0.0.1');
    this.#socket.on('data', (chunk) => incoming.parse(chunk));
    this.#socket.on('error', () => undefined);
    this.#socket.on('close', () => (this.closed = true));
  }

  send(...packets: readonly Packet[]): void {
    const { protocolVersion } = { protocolVersion: this.#protocolVersion };
    this.#socket.write(Buffer.concat(packets.map((packet) => generate(packet, { protocolVersion }))));
  }

  sendBytes(bytes: Buffer): void {
    this.#socket.write(bytes);
  }

  connect(more: object = {}): void {
    this.send(connectPacket(this.#protocolVersion, more));
  }

  /** The first packet of this kind that came, waited for. */
  wait<Command extends Packet['cmd']>(cmd: Command): Promise<Extract<Packet, { cmd: Command }>> {
    return until(`a ${cmd} comes`, () =>
      this.received.find((packet): packet is Extract<Packet, { cmd: Command }> => packet.cmd === cmd),
    );
  }

  /** The ids of the packets of this kind, in the order they came. */
  ids(cmd: Packet['cmd']): readonly (number | undefined)[] {
    return this.received.filter((packet) => packet.cmd === cmd).map(({ messageId }) => messageId);
  }

  /** Cuts the connection without a word. */
  cut(): void {
    this.#socket.destroy();
  }
}

/** A CONNECT with a clean session. */
export const connectPacket = (protocolVersion: 4 | 5, more: object = {}): Packet => ({
  cmd: 'connect',
  protocolId: 'MQTT',
  protocolVersion,
  clean: true,
  clientId: 'raw',
  keepalive: 0,
  ...more,
});

/** A QoS 1 PUBLISH. */
export const publishPacket = (
  messageId: number,
  topic: string,
  payload: string | Buffer,
  more: object = {},
): Packet => ({
  cmd: 'publish',
  qos: 1,
  dup: false,
  retain: false,
  messageId,
  topic,
  payload,
  ...more,
});
