import type { FileHandle } from 'node:fs/promises';
import { longestLine_bytes } from './line-text.ts';

/** What is read ahead of a line that stands alone, and at most of one in a row of neighbours. */
const ahead_bytes = { least: 4_096, most: 1_048_576 } as const;

/**
 * Reads pieces of a file through one window. Neighbours cost one large read together; a piece far from the last one
 * costs a small read, so that a file in disorder is not read a thousand times over.
 */
export class WindowReader {
  readonly #file: FileHandle;
  #start = 0;
  #window: Buffer = Buffer.alloc(0);
  #ahead_bytes: number = ahead_bytes.least;

  constructor(file: FileHandle) {
    this.#file = file;
  }

  /** The bytes at a place, at most as many as a line is ever looked at. */
  async read(offset: number, length: number): Promise<Buffer> {
    const end = offset + Math.min(length, longestLine_bytes);
    if (offset < this.#start || end > this.#start + this.#window.length) await this.#move(offset, end);
    return this.#window.subarray(offset - this.#start, end - this.#start);
  }

  async #move(offset: number, end: number): Promise<void> {
    const windowEnd = this.#start + this.#window.length;
    const follows = offset >= this.#start && offset <= windowEnd + ahead_bytes.least;
    this.#ahead_bytes = follows ? Math.min(2 * this.#ahead_bytes, ahead_bytes.most) : ahead_bytes.least;
    const size = Math.max(this.#ahead_bytes, end - offset);
    const { bytesRead, buffer } = await this.#file.read(Buffer.alloc(size), 0, size, offset);
    this.#window = buffer.subarray(0, bytesRead);
    this.#start = offset;
  }
}
