import { connect as connectPlain } from 'node:net';
import type { Socket } from 'node:net';
import { connect as connectTls } from 'node:tls';
import { generate, parser } from 'mqtt-packet';
import type { IConnackPacket, IPublishPacket, ISubackPacket, Packet } from 'mqtt-packet';
import type { BrokerAddress } from './broker-address.ts';
import { showBroker } from './broker-address.ts';
import { deferred } from './deferred.ts';
import { BrokerFault } from './fault.ts';
import { PacketCutter } from './packet-cutter.ts';
import { readPublish } from './read-publish.ts';
import type { Publish } from './read-publish.ts';
import type { Acknowledgement } from './reason-code.ts';
import { encodeAcknowledgements } from './reason-code.ts';

/** How a session is opened; every figure is a limit that the broker is told or the session keeps. */
export interface SessionOptions {
  readonly broker: BrokerAddress;
  readonly clientId: string;
  readonly filters: readonly string[];
  /** How long the broker keeps the session and its queue while nobody is connected. */
  readonly sessionExpiry_s: number;
  /**
   * The most QoS 1 messages the broker may have unacknowledged with us. Asked for, not relied on: Mosquitto 2.0.11 was
   * seen to send 29 times as many, so what bounds memory is the reader's queue, which stops the socket.
   */
  readonly receiveMaximum: number;
  readonly keepalive_s: number;
  readonly largestPacket_bytes: number;
  /** How long the broker may be silent while an answer to CONNECT or SUBSCRIBE is due. */
  readonly answer_ms: number;
}

/** Takes a PUBLISH; `omitted_bytes` of the payload's tail are missing when it was larger than the limit. */
type OnPublish = (publish: Publish, omitted_bytes: number, session: Session) => void;

const mqtt5 = { protocolVersion: 5 } as const;
const subscribeId = 1;

/**
 * One connection to the broker, from CONNECT to its end: a thin MQTT 5 session that acknowledges nothing by itself.
 * Packet ids are void once it ended, so an acknowledgement after that goes nowhere.
 */
export class Session {
  readonly #socket: Socket;
  readonly #options: SessionOptions;
  readonly #onPublish: OnPublish;
  readonly #cutter: PacketCutter;
  readonly #parser = parser(mqtt5);
  readonly #opened = deferred<undefined>();
  readonly #ended = deferred<BrokerFault>();
  #keepalive: NodeJS.Timeout | undefined;
  readonly #answer: NodeJS.Timeout;
  #heard = true;
  #hasEnded = false;
  #answered = false;
  #omitted_bytes = 0;

  /** Connects and subscribes; PUBLISH packets may come before `opened` resolves. */
  constructor(options: SessionOptions, onPublish: OnPublish) {
    this.#options = options;
    this.#onPublish = onPublish;
    this.#cutter = new PacketCutter(options.largestPacket_bytes);
    this.#socket = openSocket(options.broker);
    this.#socket.on('data', (chunk) => this.#read(chunk));
    this.#socket.on('error', (error) => this.#end(new BrokerFault(this.#lost(), error.message, error)));
    this.#socket.on('close', () => this.#end(new BrokerFault(this.#lost(), `${showBroker(options.broker)} closed`)));
    this.#parser.on('packet', (packet: Packet) => this.#handle(packet));
    this.#parser.on('error', (error: Error) => this.#end(new BrokerFault('protocol-violated', error.message, error)));
    this.#answer = setTimeout(() => this.#missAnswer(), options.answer_ms);
    this.#socket.write(encodeConnect(options));
  }

  /** Resolves when messages can come: all filters are granted or the session was kept. Rejects with a `BrokerFault`. */
  get opened(): Promise<undefined> {
    return this.#opened.promise;
  }

  /** Resolves with the reason when the connection is over. */
  get ended(): Promise<BrokerFault> {
    return this.#ended.promise;
  }

  /** Sends PUBACK packets, in one write, in the order given, which must be the order of receipt (MQTT 5, 4.6). */
  acknowledge(acknowledgements: readonly Acknowledgement[]): void {
    if (this.#hasEnded || acknowledgements.length === 0) return;
    this.#socket.write(encodeAcknowledgements(acknowledgements));
  }

  /** Stops reading until `resume`: the broker's bytes then wait in its own buffers. */
  pause(): void {
    this.#socket.pause();
  }

  resume(): void {
    this.#heard = true;
    this.#socket.resume();
  }

  /** Leaves with a DISCONNECT; the broker keeps the session until it expires. */
  close(): void {
    if (!this.#hasEnded) this.#socket.end(generate({ cmd: 'disconnect', reasonCode: 0 }, mqtt5));
    this.#end(new BrokerFault('connection-lost', 'closed by us'));
  }

  #lost(): 'broker-unreachable' | 'connection-lost' {
    return this.#socket.pending ? 'broker-unreachable' : 'connection-lost';
  }

  #read(chunk: Buffer): void {
    this.#heard = true;
    // The answer may stand behind a long queue of messages; while those come, nothing is amiss.
    if (!this.#answered) this.#answer.refresh();
    const cut = this.#cutter.cut(chunk);
    if (!cut.ok) {
      this.#end(new BrokerFault('protocol-violated', cut.failure));
      return;
    }
    for (const { bytes, omitted_bytes } of cut.value) {
      if (this.#hasEnded) return;
      this.#omitted_bytes = omitted_bytes;
      const publish = readPublish(bytes);
      if (publish === undefined) this.#parser.parse(bytes);
      else this.#receive(publish);
    }
  }

  #handle(packet: Packet): void {
    switch (packet.cmd) {
      case 'publish':
        this.#receive(asPublish(packet));
        return;
      case 'connack':
        this.#connected(packet);
        return;
      case 'suback':
        this.#subscribed(packet);
        return;
      case 'pingresp':
        return;
      case 'disconnect':
        this.#end(new BrokerFault('connection-lost', `the broker left with reason ${hex(packet.reasonCode)}`));
        return;
      default:
        this.#end(new BrokerFault('protocol-violated', `unexpected ${packet.cmd}`));
        return;
    }
  }

  #receive(publish: Publish): void {
    if (publish.qos === 2) {
      this.#end(new BrokerFault('protocol-violated', 'QoS 2 was not subscribed'));
      return;
    }
    this.#onPublish(publish, this.#omitted_bytes, this);
  }

  #connected({ reasonCode = 0, properties, sessionPresent }: IConnackPacket): void {
    if (reasonCode !== 0) {
      this.#end(new BrokerFault('broker-refused', `CONNACK reason ${hex(reasonCode)}`));
      return;
    }
    const keepalive_s = properties?.serverKeepAlive ?? this.#options.keepalive_s;
    if (keepalive_s > 0) this.#keepalive = setInterval(() => this.#ping(), (keepalive_s * 1_000) / 2);
    // A kept session still has its subscriptions: messages flow, though the answer to ours stands behind them.
    if (sessionPresent) this.#opened.resolve(undefined);
    // Retain handling 1: retained state comes with a new subscription, not again with each reconnect to a kept session.
    const subscriptions = this.#options.filters.map((topic) => ({
      topic,
      qos: 1 as const,
      rh: 1,
      rap: false,
      nl: false,
    }));
    this.#socket.write(generate({ cmd: 'subscribe', messageId: subscribeId, subscriptions }, mqtt5));
  }

  #subscribed({ granted }: ISubackPacket): void {
    this.#answered = true;
    clearTimeout(this.#answer);
    const refused = granted.find((code) => typeof code !== 'number' || code >= 0x80 || code === 0);
    if (refused !== undefined) {
      this.#end(new BrokerFault('subscription-refused', `SUBACK reason ${hex(Number(refused))}`));
      return;
    }
    this.#opened.resolve(undefined);
  }

  #missAnswer(): void {
    if (this.#socket.isPaused()) this.#answer.refresh();
    else this.#end(new BrokerFault('broker-silent', `no answer within ${String(this.#options.answer_ms)} ms`));
  }

  #ping(): void {
    if (!this.#heard && !this.#socket.isPaused()) {
      this.#end(new BrokerFault('broker-silent', 'no answer to a ping'));
      return;
    }
    this.#heard = false;
    this.#socket.write(generate({ cmd: 'pingreq' }, mqtt5));
  }

  #end(fault: BrokerFault): void {
    if (this.#hasEnded) return;
    this.#hasEnded = true;
    clearTimeout(this.#answer);
    clearInterval(this.#keepalive);
    if (!this.#socket.writableEnded) this.#socket.destroy();
    this.#opened.reject(fault);
    this.#ended.resolve(fault);
  }
}

const asPublish = ({ topic, payload, qos, retain, messageId, properties }: IPublishPacket): Publish => ({
  topic,
  payload: typeof payload === 'string' ? Buffer.from(payload) : payload,
  qos,
  retain,
  messageId: qos === 0 ? undefined : messageId,
  contentType: properties?.contentType,
});

const hex = (code: number | undefined): string => `0x${(code ?? 0).toString(16).padStart(2, '0')}`;

function openSocket({ host, port, tls }: BrokerAddress): Socket {
  const socket = tls === undefined ? connectPlain({ host, port }) : connectTls({ host, port, ...tls });
  return socket.setNoDelay(true);
}

function encodeConnect({ broker, clientId, keepalive_s, sessionExpiry_s, receiveMaximum }: SessionOptions): Buffer {
  return generate(
    {
      cmd: 'connect',
      protocolId: 'MQTT',
      protocolVersion: 5,
      clientId,
      clean: false,
      keepalive: keepalive_s,
      ...(broker.username === undefined ? {} : { username: broker.username }),
      ...(broker.password === undefined ? {} : { password: Buffer.from(broker.password) }),
      properties: { sessionExpiryInterval: sessionExpiry_s, receiveMaximum },
    },
    mqtt5,
  );
}
