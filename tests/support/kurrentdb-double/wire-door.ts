import type { Server, Socket } from 'node:net';
import { connect, createServer } from 'node:net';

interface Pair {
  readonly outside: Socket;
  readonly inside: Socket;
}

/**
 * Stands on the wire before a server and does to its connections what a network and a dying machine do. Works before
 * the double as before a real server that is reached without TLS.
 */
export class WireDoor {
  readonly port: number;
  readonly #server: Server;
  readonly #inside: { readonly host: string; readonly port: number };
  readonly #pairs = new Set<Pair>();
  #isSilent = false;
  #isSwallowing = false;

  static async before(inside: { readonly host: string; readonly port: number }): Promise<WireDoor> {
    const server = createServer();
    const port = await listening(server, 0);
    return new WireDoor(server, port, inside);
  }

  private constructor(server: Server, port: number, inside: { readonly host: string; readonly port: number }) {
    this.#server = server;
    this.#inside = inside;
    this.port = port;
    server.on('connection', (outside) => this.#admit(outside));
  }

  /** How many connections were taken so far. */
  admitted = 0;

  /** Cuts every connection; new ones are taken. */
  cut(): void {
    this.#isSwallowing = false;
    for (const { outside, inside } of this.#pairs) {
      outside.destroy();
      inside.destroy();
    }
    this.#pairs.clear();
  }

  /** Cuts every connection and refuses new ones, as a machine that is gone. */
  async shut(): Promise<void> {
    const closed = new Promise((resolve) => this.#server.close(resolve));
    this.cut();
    await closed;
  }

  /** Takes connections again, at the same port. */
  async reopen(): Promise<void> {
    await listening(this.#server, this.port);
  }

  /** Keeps connections open, also new ones, and carries nothing, as a machine that hangs. */
  silence(): void {
    this.#isSilent = true;
    for (const { outside, inside } of this.#pairs) {
      outside.pause();
      inside.pause();
    }
  }

  /** Carries again, and what was held up, too. */
  speak(): void {
    this.#isSilent = false;
    for (const { outside, inside } of this.#pairs) {
      outside.resume();
      inside.resume();
    }
  }

  /** Carries what goes in and drops what comes out, until the connections are cut: every answer is lost. */
  swallowAnswers(): void {
    this.#isSwallowing = true;
  }

  #admit(outside: Socket): void {
    this.admitted += 1;
    const inside = connect(this.#inside);
    const pair = { outside, inside };
    this.#pairs.add(pair);
    const end = (): void => {
      this.#pairs.delete(pair);
      outside.destroy();
      inside.destroy();
    };
    for (const socket of [outside, inside]) {
      socket.setNoDelay(true);
      socket.on('error', end);
      socket.on('close', end);
      if (this.#isSilent) socket.pause();
    }
    outside.on('data', (bytes) => carry(bytes, outside, inside));
    inside.on('data', (bytes) => {
      if (!this.#isSwallowing) carry(bytes, inside, outside);
    });
  }
}

/** Holds the sender up while the receiver does not keep up, so that a slow reader is felt at the other end. */
function carry(bytes: Buffer, from: Socket, to: Socket): void {
  if (to.write(bytes)) return;
  from.pause();
  to.once('drain', () => from.resume());
}

function listening(server: Server, port: number): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, '127.0.0.1', () => {
      server.off('error', reject);
      const address = server.address();
      resolve(typeof address === 'object' && address !== null ? address.port : port);
    });
  });
}
