import { createServer } from 'node:net';
import type { AddressInfo, Socket } from 'node:net';
import { generate, parser } from 'mqtt-packet';
import type { Packet } from 'mqtt-packet';
import { until } from './until.ts';

/** One client's connection to a scripted broker. */
export interface Visit {
  readonly socket: Socket;
  readonly received: Packet[];
  send(...packets: readonly Packet[]): void;
  ids(cmd: Packet['cmd']): readonly (number | undefined)[];
}

/** How the broker answers a packet; whatever it does not answer stays unanswered. */
export type Script = (packet: Packet, visit: Visit) => void;

/** A peer on a real socket that speaks MQTT 5 and does exactly what the test says: to see what is sent, and when. */
export class ScriptedBroker {
  readonly visits: Visit[] = [];
  readonly #server;

  private constructor(script: Script) {
    this.#server = createServer((socket) => {
      const incoming = parser({ protocolVersion: 5 });
      const received: Packet[] = [];
      const visit: Visit = {
        socket,
        received,
        send: (...packets) =>
          void socket.write(Buffer.concat(packets.map((packet) => generate(packet, { protocolVersion: 5 })))),
        ids: (cmd) => received.filter((packet) => packet.cmd === cmd).map(({ messageId }) => messageId),
      };
      this.visits.push(visit);
      socket.on('error', () => undefined);
      socket.on('data', (chunk) => incoming.parse(chunk));
      incoming.on('packet', (packet) => {
        received.push(packet);
        script(packet, visit);
      });
    });
  }

  static async open(script: Script): Promise<ScriptedBroker> {
    const broker = new ScriptedBroker(script);
    await new Promise<void>((resolve) => broker.#server.listen(0, '127.0.0.1', resolve));
    return broker;
  }

  get port(): number {
    return (this.#server.address() as AddressInfo).port;
  }

  /** The visit of this number, waited for. */
  visit(number: number): Promise<Visit> {
    return until(`connection ${String(number)} comes`, () => this.visits[number]);
  }

  async close(): Promise<void> {
    for (const { socket } of this.visits) socket.destroy();
    await new Promise((resolve) => this.#server.close(resolve));
  }
}

/** Lets every client in and grants every filter. */
export const welcome: Script = (packet, visit) => {
  if (packet.cmd === 'connect') visit.send({ cmd: 'connack', reasonCode: 0, sessionPresent: false });
  if (packet.cmd === 'subscribe')
    visit.send({ cmd: 'suback', messageId: packet.messageId!, granted: packet.subscriptions.map(() => 1) });
  if (packet.cmd === 'pingreq') visit.send({ cmd: 'pingresp' });
};
