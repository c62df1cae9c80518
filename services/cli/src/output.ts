import { once } from 'node:events';
import type { Writable } from 'node:stream';

/** Whoever read the output has enough of it: `tidemark … | head`. */
export class OutputClosed extends Error {
  override readonly name = 'OutputClosed';
  readonly code = 'output-closed';
}

/** Writes lines no faster than they are taken. */
export class LineOutput {
  readonly #stream: Writable;
  #closed = false;

  constructor(stream: Writable) {
    this.#stream = stream;
    stream.on('error', () => (this.#closed = true));
  }

  /** Throws `OutputClosed` once nobody reads any more. */
  async write(line: string): Promise<void> {
    if (this.#closed) throw new OutputClosed();
    if (this.#stream.write(`${line}\n`)) return;
    await Promise.race([once(this.#stream, 'drain'), once(this.#stream, 'close')]).catch(() => undefined);
  }
}
