import { setTimeout as elapse } from 'node:timers/promises';
import { seededRandom } from '@tidemark/kernel';
import type { BrokerAddress, OutgoingMessage } from '@tidemark/mqtt';
import { MqttSink, showBroker } from '@tidemark/mqtt';
import { CommandFailed } from '../command-failed.ts';

/** How long the broker may take to accept the first connection. */
const connectWithin_ms = 10_000;

/** Sent and not yet answered; the next waits. The sink bounds what is on the wire by what the broker allows. */
const inFlightLimit = 256;

/** Keeps messages in order and a bounded number under way, and counts what became of them. */
export class Sender {
  readonly #sink: MqttSink;
  readonly #underWay = new Set<Promise<void>>();
  readonly #counts = { sent: 0, refused: 0 };

  constructor(sink: MqttSink) {
    this.#sink = sink;
  }

  /** What the broker took and what it refused, until now. */
  get counts(): { readonly sent: number; readonly refused: number } {
    return this.#counts;
  }

  /** Resolves when the next message may come. */
  async take(message: OutgoingMessage): Promise<void> {
    const sending = this.#sink.publish(message).then((result) => {
      this.#counts[result.ok ? 'sent' : 'refused'] += 1;
      this.#underWay.delete(sending);
    });
    this.#underWay.add(sending);
    if (this.#underWay.size >= inFlightLimit) await Promise.race(this.#underWay);
  }

  /** Once everything that was taken is answered. */
  async settled(): Promise<void> {
    await Promise.all(this.#underWay);
  }

  async close(): Promise<void> {
    await this.#sink.close();
  }
}

/** A connection to a broker; one that cannot be reached in time ends the command. */
export async function connected(broker: BrokerAddress, clientId: string): Promise<MqttSink> {
  let onConnect = (): void => undefined;
  const connection = new Promise<'connected'>((resolve) => {
    onConnect = () => resolve('connected');
  });
  const sink = new MqttSink({
    broker,
    clientId,
    // Chance only spreads retries here: two runs must not come back at the same moment.
    random: seededRandom(0).fork(clientId),
    onConnect: () => onConnect(),
  });
  const late = new AbortController();
  const outcome = await Promise.race([connection, elapse(connectWithin_ms, 'late' as const, { signal: late.signal })]);
  late.abort();
  if (outcome === 'connected') return sink;
  await sink.close();
  throw new CommandFailed(`cannot reach ${showBroker(broker)} within ${connectWithin_ms / 1_000} s`);
}
