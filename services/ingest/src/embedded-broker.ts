import { randomUUID } from 'node:crypto';
import type { AddressInfo, Server, Socket } from 'node:net';
import { createServer } from 'node:net';
import { createServer as createTlsServer } from 'node:tls';
import { Aedes } from 'aedes';
import type { AedesOptions, Client, ConnectPacket, PublishPacket } from 'aedes';
import type { Instant } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
import type { OutgoingMessage } from '@tidemark/mqtt';
import { Subject } from 'rxjs';
import type { Observable } from 'rxjs';
import type { Arrival, Verdict } from './arrival.ts';
import type { BrokerLimits } from './broker-limits.ts';
import { defaultBrokerLimits } from './broker-limits.ts';
import { ClientConnection, leaving } from './client-connection.ts';
import type { Credential } from './credentials.ts';
import { Doorkeeper } from './doorkeeper.ts';
import { BrokerStartFault, GateFull } from './fault.ts';
import { isLoopback, listen } from './listening.ts';
import { reasonFor } from './reason-for.ts';
import { readMqtt5 } from './read-mqtt5.ts';
import { mayRead, mayRetain, rulePublish } from './topic-rules.ts';

/** Something a client was not allowed, or a limit it reached. For the log; nothing is queued for who does not listen. */
export interface BrokerNotice {
  readonly at: Instant;
  readonly type:
    | 'packet-too-large'
    | 'malformed-packet'
    | 'throttled'
    | 'too-many-connections'
    | 'too-many-password-checks'
    | 'bad-credentials'
    | 'publish-refused'
    | 'subscribe-refused'
    | 'gate-full'
    | 'client-error';
  /** The client's id and address, or the address alone before it has named itself. */
  readonly client: string;
  readonly detail: string;
}

/** How the embedded broker listens. Port 0 takes a free one. */
export interface EmbeddedBrokerOptions {
  /** Loopback unless said otherwise; beyond it credentials are asked for. */
  readonly host?: string;
  readonly port: number;
  /** Certificate and key as PEM; with `ca`, clients must show a certificate that it signed. */
  readonly tls?: { readonly cert: string; readonly key: string; readonly ca?: string };
  /** Absent: anyone who reaches the port may publish for any riser. */
  readonly credentials?: readonly Credential[];
  readonly limits?: Partial<BrokerLimits>;
  readonly prefix: string;
  readonly now: () => Instant;
  /** Makes a message durable; it is acknowledged when this resolves, and not at all when it rejects. */
  readonly admit: (arrival: Arrival) => Promise<Verdict>;
}

type Done = (error?: Error | null) => void;

/** Where a refused packet goes: the library cannot acknowledge without publishing, and nobody may subscribe to this. */
const nowhere = '$tidemark/refused';

/**
 * A broker in this process whose PUBACK means that the signal is in the journal. MQTT 3.1.1 and 5; sessions are not
 * kept over a disconnect (CONNACK says so), so nothing queues for who is away; a will is published at once.
 */
export class EmbeddedBroker {
  readonly #options: EmbeddedBrokerOptions;
  readonly #limits: BrokerLimits;
  readonly #aedes: Aedes;
  readonly #server: Server;
  readonly #doorkeeper: Doorkeeper;
  readonly #notices = new Subject<BrokerNotice>();
  #closing = false;

  private constructor(options: EmbeddedBrokerOptions) {
    this.#options = options;
    this.#limits = { ...defaultBrokerLimits, ...options.limits };
    this.#doorkeeper = new Doorkeeper(options.credentials, this.#limits.passwordChecks);
    this.#aedes = new Aedes(this.#aedesOptions());
    this.#aedes.on('clientError', (client, error) => this.#note('client-error', client, error.message));
    this.#aedes.on('connectionError', (client, error) => this.#note('client-error', client, error.message));
    const welcome = (socket: Socket): void => this.#welcome(socket);
    const { tls } = options;
    this.#server =
      tls === undefined
        ? createServer({ noDelay: true, keepAlive: true }, welcome)
        : createTlsServer({ ...tls, requestCert: tls.ca !== undefined, noDelay: true, keepAlive: true }, welcome);
    this.#server.maxConnections = this.#limits.connections;
    this.#server.on('drop', (data) => {
      this.#tell(
        'too-many-connections',
        String(data?.remoteAddress),
        `${String(this.#limits.connections)} are connected`,
      );
    });
  }

  /** Listens, or rejects with a `BrokerStartFault` that says what to do. */
  static async open(options: EmbeddedBrokerOptions): Promise<EmbeddedBroker> {
    const host = options.host ?? '127.0.0.1';
    if (options.credentials === undefined && !isLoopback(host))
      throw new BrokerStartFault(
        'open-beyond-loopback',
        `The broker would be open to everyone who reaches ${host}. Configure credentials, or listen on 127.0.0.1.`,
      );
    const broker = new EmbeddedBroker(options);
    await broker.#aedes.listen();
    await listen(broker.#server, host, options.port);
    return broker;
  }

  get port(): number {
    return (this.#server.address() as AddressInfo).port;
  }

  get notices(): Observable<BrokerNotice> {
    return this.#notices;
  }

  /** Publishes for the station itself: no socket, no topic rules, not into the journal. Resolves when readers have it. */
  publish({ topic, payload, retain = false }: OutgoingMessage): Promise<void> {
    const packet: PublishPacket = {
      cmd: 'publish',
      topic,
      payload: Buffer.from(payload),
      qos: 1,
      retain,
      dup: false,
    };
    return new Promise((resolve, reject) => {
      this.#aedes.publish(packet, (error) => (error instanceof Error ? reject(error) : resolve()));
    });
  }

  /** Ends all connections. Their wills are not taken: it is the station that left, not the panels. */
  async close(): Promise<void> {
    this.#closing = true;
    const closed = new Promise<void>((resolve) => this.#server.close(() => resolve()));
    await new Promise<void>((resolve) => this.#aedes.close(resolve));
    await closed;
    this.#notices.complete();
  }

  #aedesOptions(): AedesOptions {
    return {
      queueLimit: this.#limits.early,
      connectTimeout: this.#limits.connect_ms,
      drainTimeout: this.#limits.drain_ms,
      maxTopicLevels: this.#limits.topicLevels,
      preConnect: (client, packet, done) => this.#preConnect(client, packet, done),
      authenticate: (client, username, password, done) => {
        this.#doorkeeper.admit(username, password).then(
          (answer) => {
            if (answer.type === 'refused') this.#note(answer.why, client, username ?? 'no user name');
            else connectionOf(client).bound = answer.bound;
            done(null, answer.type === 'admitted');
          },
          (error: unknown) => client.emit('error', error),
        );
      },
      authorizePublish: (client, packet, done) => this.#authorizePublish(client, packet, done),
      authorizeSubscribe: (client, subscription, done) => {
        const connection = connectionOf(client);
        const { bound, subscriptions } = connection;
        const may = bound !== undefined && subscriptions < this.#limits.subscriptions;
        const granted = may && mayRead(bound, subscription.topic, this.#options.prefix);
        if (granted) connection.subscriptions += 1;
        else this.#note('subscribe-refused', client, subscription.topic);
        done(null, granted ? subscription : null);
      },
    };
  }

  #welcome(socket: Socket): void {
    const connection = new ClientConnection(socket, this.#limits, (type, { remote }) => {
      this.#tell(type, remote, 'a limit was reached');
    });
    this.#aedes.handle(connection);
  }

  #preConnect(client: Client, packet: ConnectPacket, done: (error: Error | null, success: boolean) => void): void {
    const assigned = packet.clientId === '' ? `assigned-${randomUUID()}` : undefined;
    if (packet.protocolVersion === 5) {
      connectionOf(client).speakMqtt5(assigned);
      readMqtt5(client, packet);
    }
    packet.clean = true;
    // A client id is taken over by whoever uses it next; behind credentials only by the same user.
    const clientId = assigned ?? packet.clientId;
    packet.clientId = this.#options.credentials === undefined ? clientId : `${packet.username ?? ''}/${clientId}`;
    done(null, true);
  }

  #authorizePublish(client: Client | null, packet: PublishPacket, done: Done): void {
    if (this.#closing || client === null) {
      done(new Error('the station is closing'));
      return;
    }
    const { bound } = connectionOf(client);
    switch (bound === undefined ? 'refuse' : rulePublish(bound, packet.topic, this.#options.prefix)) {
      case 'take':
        this.#take(client, packet, done);
        return;
      case 'pass':
        packet.retain = false;
        done(null);
        return;
      case 'refuse':
        this.#note('publish-refused', client, packet.topic);
        this.#refuse(client, packet, done);
        return;
    }
  }

  #take(client: Client, packet: PublishPacket, done: Done): void {
    const { prefix, now } = this.#options;
    const contentType = packet.properties?.contentType;
    const arrival: Arrival = {
      topic: packet.topic,
      payload: typeof packet.payload === 'string' ? Buffer.from(packet.payload) : packet.payload,
      ...(contentType === undefined ? {} : { contentType }),
      receivedAt: now(),
      omitted_bytes: 0,
    };
    this.#options.admit(arrival).then(
      (verdict) => {
        if (packet.messageId !== undefined) connectionOf(client).answers?.answer(packet.messageId, reasonFor(verdict));
        if (verdict.type === 'rejected' || !mayRetain(packet.topic, prefix)) packet.retain = false;
        done(null);
      },
      (fault: unknown) => {
        invariant(fault instanceof Error, 'a fault is an Error');
        if (fault instanceof GateFull) {
          this.#note('gate-full', client, packet.topic);
          connectionOf(client).leave(leaving.quotaExceeded);
        }
        done(fault);
      },
    );
  }

  /** MQTT 5 has an answer for it; MQTT 3.1.1 does not, so the connection is closed [MQTT-3.3.5-2]. */
  #refuse(client: Client, packet: PublishPacket, done: Done): void {
    const { answers } = connectionOf(client);
    if (answers === undefined || packet.qos === 2) {
      done(new Error(`publishing to ${packet.topic.slice(0, 200)} is not allowed`));
      return;
    }
    if (packet.messageId !== undefined) answers.answer(packet.messageId, leaving.notAuthorized);
    packet.topic = nowhere;
    packet.retain = false;
    done(null);
  }

  #note(type: BrokerNotice['type'], client: Client, detail: string): void {
    this.#tell(type, `${client.id} ${connectionOf(client).remote}`, detail);
  }

  #tell(type: BrokerNotice['type'], client: string, detail: string): void {
    this.#notices.next({ at: this.#options.now(), type, client, detail: detail.slice(0, 300) });
  }
}

function connectionOf({ conn }: Client): ClientConnection {
  invariant(conn instanceof ClientConnection, 'every client came in through our own connection');
  return conn;
}
