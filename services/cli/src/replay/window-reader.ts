import type { FileHandle } from 'node:fs/promises';
import { longestLine_bytes } from './line-text.ts';

const window_bytes = 1_048_576;

/** Reads pieces of a file through one window, so that neighbouring lines cost one read together. */
export class WindowReader {
  readonly #file: FileHandle;
  #start = 0;
  #window: Buffer = Buffer.alloc(0);

  constructor(file: FileHandle) {
    this.#file = file;
  }

  /** The bytes at a place, at most as many as a line is ever looked at. */
  async read(offset: number, length: number): Promise<Buffer> {
    const end = offset + Math.min(length, longestLine_bytes);
    if (offset < this.#start || end > this.#start + this.#window.length) {
      const { bytesRead, buffer } = await this.#file.read(Buffer.alloc(window_bytes), 0, window_bytes, offset);
      this.#window = buffer.subarray(0, bytesRead);
      this.#start = offset;
    }
    return this.#window.subarray(offset - this.#start, end - this.#start);
  }
}
