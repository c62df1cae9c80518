import type { Random, Result } from '@tidemark/kernel';
import { fail, ok } from '@tidemark/kernel';
import { connect } from 'mqtt';
import type { IClientOptions, MqttClient } from 'mqtt';
import type { Backoff } from '@tidemark/kernel';
import { delayBefore_ms } from '@tidemark/kernel';
import { defaultBackoff } from './backoff.ts';
import type { BrokerAddress } from './broker-address.ts';

/** A message to publish with QoS 1. */
export interface OutgoingMessage {
  readonly topic: string;
  readonly payload: string | Uint8Array;
  readonly retain?: boolean;
  readonly contentType?: string;
}

/** Why a message was not taken: the line is full, the sink is closed, or the broker answered with a reason from 0x80 on. */
export type PublishRejection =
  | { readonly type: 'sink-full'; readonly limit: number }
  | { readonly type: 'sink-closed' }
  | { readonly type: 'refused'; readonly reasonCode: number; readonly detail: string };

/** Where messages go. `will` is what the broker publishes when the connection breaks. */
export interface SinkOptions {
  readonly broker: BrokerAddress;
  readonly clientId: string;
  readonly will?: OutgoingMessage;
  /** Runs after each connection is made, first or later; the link's `up` is published here. */
  readonly onConnect?: () => void;
  readonly random: Random;
  readonly backoff?: Backoff;
  /** 5 unless the broker speaks 3.1.1 only. */
  readonly protocolVersion?: 4 | 5;
}

/** Sent and not yet answered; a broker may allow less (its receive maximum). Choice of this project: common brokers allow 20. */
const inFlightLimit = 20;

/** Waiting for their turn; beyond it a message is refused. Choice of this project. */
const waitingLimit = 10_000;

/** Publishes with QoS 1, in order, a bounded number in flight; a promise resolves when the broker has answered. */
export class MqttSink {
  readonly #client: MqttClient;
  readonly #waiting: (() => void)[] = [];
  #inFlight = 0;
  #limit = inFlightLimit;
  #attempts = 0;
  #closed = false;

  constructor(options: SinkOptions) {
    const { random, backoff = defaultBackoff, onConnect } = options;
    this.#client = connect(connectOptions(options));
    this.#client.on('connect', ({ properties }) => {
      this.#attempts = 0;
      this.#limit = Math.min(inFlightLimit, properties?.receiveMaximum ?? inFlightLimit);
      onConnect?.();
    });
    this.#client.on('close', () => {
      this.#client.options.reconnectPeriod = delayBefore_ms(this.#attempts, backoff, random);
      this.#attempts += 1;
    });
    // The library reports each failed attempt here and tries again by itself; `connected` tells how it stands.
    this.#client.on('error', () => undefined);
  }

  get connected(): boolean {
    return this.#client.connected;
  }

  /** Resolves when the broker has the message. While the broker is away it waits; the line before it is bounded. */
  async publish(message: OutgoingMessage): Promise<Result<undefined, PublishRejection>> {
    if (this.#closed) return fail({ type: 'sink-closed' });
    if (this.#inFlight >= this.#limit) {
      if (this.#waiting.length >= waitingLimit) return fail({ type: 'sink-full', limit: waitingLimit });
      await new Promise<void>((resolve) => this.#waiting.push(resolve));
    } else {
      this.#inFlight += 1;
    }
    const result = await this.#send(message);
    this.#passOn();
    return result;
  }

  /** Waits for the answers outstanding, then leaves without the will being published. */
  async close(): Promise<void> {
    this.#closed = true;
    await this.#client.endAsync(!this.#client.connected);
  }

  /** The place in flight goes to whoever waited longest. */
  #passOn(): void {
    const next = this.#waiting.shift();
    if (next === undefined) this.#inFlight -= 1;
    else next();
  }

  #send({
    topic,
    payload,
    retain = false,
    contentType,
  }: OutgoingMessage): Promise<Result<undefined, PublishRejection>> {
    const properties = contentType === undefined ? {} : { properties: { contentType } };
    const bytes = typeof payload === 'string' ? payload : Buffer.from(payload);
    return new Promise((resolve) => {
      this.#client.publish(topic, bytes, { qos: 1, retain, ...properties }, (error) => {
        // On success the library calls back with `null`, whatever its types say.
        resolve(error instanceof Error ? fail(rejectionOf(error)) : ok(undefined));
      });
    });
  }
}

/** The library gives the broker's reason as `code`; without one the connection was given up before an answer. */
function rejectionOf(error: Error): PublishRejection {
  const code = 'code' in error && typeof error.code === 'number' ? error.code : 0;
  return code < 0x80 ? { type: 'sink-closed' } : { type: 'refused', reasonCode: code, detail: error.message };
}

function connectOptions({ broker, clientId, will, protocolVersion = 5 }: SinkOptions): IClientOptions {
  return {
    protocol: broker.tls === undefined ? 'mqtt' : 'mqtts',
    host: broker.host,
    port: broker.port,
    ...broker.tls,
    clientId,
    protocolVersion,
    clean: true,
    reconnectPeriod: 1,
    ...(broker.username === undefined ? {} : { username: broker.username }),
    ...(broker.password === undefined ? {} : { password: broker.password }),
    ...(will === undefined ? {} : { will: encodeWill(will) }),
  };
}

const encodeWill = ({
  topic,
  payload,
  retain = false,
  contentType,
}: OutgoingMessage): NonNullable<IClientOptions['will']> => ({
  topic,
  payload: Buffer.from(payload),
  qos: 1,
  retain,
  ...(contentType === undefined ? {} : { properties: { contentType } }),
});
