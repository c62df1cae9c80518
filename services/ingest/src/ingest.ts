import type { Journal } from '@tidemark/journal';
import type { Instant, Random } from '@tidemark/kernel';
import { AcknowledgedSource, MqttSink } from '@tidemark/mqtt';
import type { Batch, BrokerAddress, OutgoingMessage, SourceHealth, SourceOptions } from '@tidemark/mqtt';
import type { DecodeOptions } from '@tidemark/signals';
import { filterOf } from '@tidemark/signals';
import { BehaviorSubject, combineLatest, map } from 'rxjs';
import type { Observable } from 'rxjs';
import { EmbeddedBroker } from './embedded-broker.ts';
import type { BrokerNotice, EmbeddedBrokerOptions } from './embedded-broker.ts';
import { IntakeClosed } from './fault.ts';
import { Gate } from './gate.ts';
import type { Flow, JournalHealth } from './intake.ts';
import { Intake, largestGroup } from './intake.ts';
import { reasonFor } from './reason-for.ts';

/** A broker elsewhere to take signals from and publish to; what a source needs beside it has defaults. */
export interface ExternalDoor extends Partial<
  Omit<SourceOptions, 'broker' | 'clientId' | 'filters' | 'now' | 'random'>
> {
  readonly broker: BrokerAddress;
  /** One name for each station: the broker keeps the queue under it. */
  readonly clientId: string;
}

/** What ingest is made of. At least one door; both at once are allowed. */
export interface IngestOptions extends DecodeOptions {
  readonly journal: Journal;
  readonly now: () => Instant;
  readonly random: Random;
  readonly embedded?: Omit<EmbeddedBrokerOptions, 'prefix' | 'now' | 'admit'>;
  readonly external?: ExternalDoor;
}

/** How ingest stands. `ok` is false whenever a signal could not come in or not be made durable. */
export interface IngestHealth {
  readonly ok: boolean;
  readonly journal: JournalHealth;
  /** Absent where no external broker is configured. */
  readonly external?: SourceHealth;
}

/** How many messages of a source are read in one go; some milliseconds of work. */
const batchLimit_messages = 250;

/** How many may be read and not yet durable: a group that is being committed, and one that is read meanwhile. */
const aheadLimit_messages = 2 * largestGroup;

/** MQTT in, journal out: starts the doors and ties them to the intake. */
export class Ingest {
  readonly #intake: Intake;
  readonly #external = new BehaviorSubject<SourceHealth | undefined>(undefined);
  readonly #options: IngestOptions;
  #broker: EmbeddedBroker | undefined;
  #source: AcknowledgedSource | undefined;
  #sink: MqttSink | undefined;
  #reading: Promise<void> = Promise.resolve();

  private constructor(options: IngestOptions) {
    this.#options = options;
    this.#intake = new Intake(options);
  }

  /** Opens the doors. Rejects with `BrokerStartFault` when the embedded broker cannot listen; an external broker may be away. */
  static async open(options: IngestOptions): Promise<Ingest> {
    const ingest = new Ingest(options);
    const { embedded, external, prefix, now } = options;
    if (embedded !== undefined) {
      const gate = new Gate(ingest.#intake);
      ingest.#broker = await EmbeddedBroker.open({ ...embedded, prefix, now, admit: (arrival) => gate.admit(arrival) });
    }
    if (external !== undefined) ingest.#openExternal(external);
    return ingest;
  }

  get health(): Observable<IngestHealth> {
    return combineLatest([this.#intake.health, this.#external]).pipe(
      map(([journal, external]) => ({
        ok: journal.state === 'recording' && (external === undefined || external.state === 'live'),
        journal,
        ...(external === undefined ? {} : { external }),
      })),
    );
  }

  get flow(): Observable<Flow> {
    return this.#intake.flow;
  }

  /** What the embedded broker refused; nothing where there is none. */
  get notices(): Observable<BrokerNotice> | undefined {
    return this.#broker?.notices;
  }

  /** The port the embedded broker listens on. */
  get port(): number | undefined {
    return this.#broker?.port;
  }

  /** Publishes state and findings through every door that is open. Resolves when the brokers have them, or refused. */
  async publish(message: OutgoingMessage): Promise<void> {
    await Promise.all([this.#broker?.publish(message), this.#sink?.publish(message)]);
  }

  /** Closes the doors first, then the intake; what is not durable by then was not acknowledged. The journal stays open. */
  async close(): Promise<void> {
    this.#source?.close();
    this.#intake.close();
    await Promise.all([this.#broker?.close(), this.#sink?.close(), this.#reading]);
    this.#external.complete();
  }

  #openExternal(external: ExternalDoor): void {
    const { prefix, now, random } = this.#options;
    const filters = [filterOf(prefix, 'signal'), filterOf(prefix, 'link')];
    const source = new AcknowledgedSource({ ...external, filters, now, random: random.fork('source') });
    this.#source = source;
    this.#external.next(source.health);
    source.onHealth((health) => this.#external.next(health));
    this.#reading = this.#read(source);
    const { broker, clientId } = external;
    this.#sink = new MqttSink({ broker, clientId: `${clientId}-out`, random: random.fork('sink') });
  }

  /**
   * Batch after batch, each read while those before it are being committed, and acknowledged in their order when they
   * are durable, whatever they were.
   */
  async #read(source: AcknowledgedSource): Promise<void> {
    const ahead: { readonly messages: number; readonly done: Promise<void> }[] = [];
    let messages = 0;
    for await (const batch of source.batches(batchLimit_messages)) {
      ahead.push({ messages: batch.messages.length, done: this.#admit(batch) });
      messages += batch.messages.length;
      for (let oldest = ahead[0]; oldest !== undefined && messages >= aheadLimit_messages; oldest = ahead[0]) {
        await oldest.done;
        messages -= oldest.messages;
        ahead.shift();
      }
      // One turn of the loop between batches, so that sockets, commits and timers get theirs.
      await new Promise(setImmediate);
    }
    await Promise.all(ahead.map(({ done }) => done));
  }

  async #admit({ messages, acknowledge }: Batch): Promise<void> {
    try {
      const verdicts = await this.#intake.admit(messages);
      acknowledge(verdicts.map(reasonFor));
    } catch (fault) {
      if (!(fault instanceof IntakeClosed)) throw fault;
    }
  }
}
