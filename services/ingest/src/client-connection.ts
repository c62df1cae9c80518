import type { Socket } from 'node:net';
import { Duplex } from 'node:stream';
import { Mqtt5Answers, PacketCutter } from '@tidemark/mqtt';
import type { PacketBytes } from '@tidemark/mqtt';
import type { BrokerLimits } from './broker-limits.ts';
import type { Bound } from './topic-rules.ts';

/** Why the broker ends a connection (MQTT 5, table 3-13); a 3.1.1 client only sees it close. */
export const leaving = {
  notAuthorized: 0x87,
  serverShuttingDown: 0x8b,
  malformedPacket: 0x81,
  packetTooLarge: 0x95,
  quotaExceeded: 0x97,
} as const;

/** What the connection tells its broker. */
export type ConnectionNotice = 'packet-too-large' | 'malformed-packet' | 'throttled';

const publishType = 3;
const unsubscribeType = 10;
const disconnectType = 14;

/** DISCONNECT with this reason asks for the will to be published all the same (MQTT 5, 3.14.2.1). */
const disconnectWithWill = 0x04;

/**
 * Stands between a client's socket and the broker library, which has no limit on packets, no rate and no MQTT 5. Bytes
 * pass through unchanged for MQTT 3.1.1; for MQTT 5 the answers are rewritten (see Mqtt5Answers).
 */
export class ClientConnection extends Duplex {
  readonly #socket: Socket;
  readonly #limits: BrokerLimits;
  readonly #cutter: PacketCutter;
  readonly #onNotice: (notice: ConnectionNotice, connection: ClientConnection) => void;
  #answers: Mqtt5Answers | undefined;
  #allowance: number;
  #countedAt_ms = performance.now();
  #throttle: NodeJS.Timeout | undefined;

  /** Whose topics the client may use; nobody's until it has said who it is. */
  bound: Bound | undefined;
  subscriptions = 0;

  constructor(
    socket: Socket,
    limits: BrokerLimits,
    onNotice: (notice: ConnectionNotice, connection: ClientConnection) => void,
  ) {
    super({ allowHalfOpen: false });
    this.#socket = socket;
    this.#limits = limits;
    this.#onNotice = onNotice;
    this.#allowance = limits.publishBurst;
    this.#cutter = new PacketCutter(limits.packet_bytes);
    socket.on('data', (chunk) => this.#read(chunk));
    socket.on('end', () => this.push(null));
    socket.on('error', (error) => this.destroy(error));
    socket.on('close', () => this.destroy());
  }

  get remote(): string {
    return `${this.#socket.remoteAddress ?? 'closed'}:${String(this.#socket.remotePort ?? 0)}`;
  }

  /** From CONNECT on: the client speaks MQTT 5. */
  speakMqtt5(assignedClientId: string | undefined): Mqtt5Answers {
    this.#answers = new Mqtt5Answers({ ...this.#limits, assignedClientId });
    return this.#answers;
  }

  get answers(): Mqtt5Answers | undefined {
    return this.#answers;
  }

  /** Ends the connection, telling why where the protocol can. The will is published, as nothing else was said. */
  leave(reason: (typeof leaving)[keyof typeof leaving]): void {
    if (this.#answers !== undefined) this.#socket.end(this.#answers.disconnect(reason));
    this.destroy();
  }

  override _read(): void {
    if (this.#throttle === undefined) this.#socket.resume();
  }

  override _write(chunk: Buffer, _encoding: string, done: (error?: Error | null) => void): void {
    this.#send(chunk, done);
  }

  override _writev(chunks: { readonly chunk: Buffer | string }[], done: (error?: Error | null) => void): void {
    this.#send(
      Buffer.concat(chunks.map(({ chunk }) => (typeof chunk === 'string' ? Buffer.from(chunk) : chunk))),
      done,
    );
  }

  override _final(done: () => void): void {
    this.#socket.end(done);
  }

  override _destroy(error: Error | null, done: (error?: Error | null) => void): void {
    clearTimeout(this.#throttle);
    if (this.#socket.writableEnded) this.#socket.destroySoon();
    else this.#socket.destroy();
    done(error);
  }

  #send(bytes: Buffer, done: (error?: Error | null) => void): void {
    const answer = this.#answers === undefined ? bytes : this.#answers.rewrite(bytes);
    if (answer.length === 0) done();
    else this.#socket.write(answer, done);
  }

  #read(chunk: Buffer): void {
    const cut = this.#cutter.cut(chunk);
    if (!cut.ok) {
      this.#refuse('malformed-packet', leaving.malformedPacket);
      return;
    }
    let publishes = 0;
    let wanted = true;
    for (const packet of cut.value) {
      if (packet.omitted_bytes > 0) {
        this.#refuse('packet-too-large', leaving.packetTooLarge);
        return;
      }
      if (typeOf(packet) === publishType) publishes += 1;
      wanted = this.#pass(packet);
    }
    if (!wanted) this.#socket.pause();
    if (publishes > 0) this.#charge(publishes);
  }

  #refuse(notice: ConnectionNotice, reason: (typeof leaving)[keyof typeof leaving]): void {
    this.#onNotice(notice, this);
    this.leave(reason);
  }

  #pass(packet: PacketBytes): boolean {
    if (this.#answers !== undefined && typeOf(packet) === unsubscribeType) this.#answers.expectUnsuback(packet.bytes);
    const withWill =
      this.#answers !== undefined && typeOf(packet) === disconnectType && packet.bytes[2] === disconnectWithWill;
    return this.push(withWill ? null : packet.bytes);
  }

  /** A token bucket: who is over the rate is not read from until the debt is paid. */
  #charge(publishes: number): void {
    const now_ms = performance.now();
    const earned = ((now_ms - this.#countedAt_ms) / 1_000) * this.#limits.publishes_s;
    this.#allowance = Math.min(this.#limits.publishBurst, this.#allowance + earned) - publishes;
    this.#countedAt_ms = now_ms;
    if (this.#allowance >= 0 || this.#throttle !== undefined) return;
    this.#socket.pause();
    this.#onNotice('throttled', this);
    const wait_ms = Math.ceil((-this.#allowance / this.#limits.publishes_s) * 1_000);
    this.#throttle = setTimeout(() => {
      this.#throttle = undefined;
      this.#socket.resume();
    }, wait_ms);
  }
}

const typeOf = ({ bytes }: PacketBytes): number => (bytes[0] ?? 0) >> 4;
