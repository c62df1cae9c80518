import { once } from 'node:events';
import type { FileHandle } from 'node:fs/promises';
import { open } from 'node:fs/promises';
import type { Writable } from 'node:stream';
import { cannotWrite } from './command-failed.ts';

/** Whoever read the output has enough of it: `tidemark … | head`. */
export class OutputClosed extends Error {
  override readonly name = 'OutputClosed';
  readonly code = 'output-closed';
}

/** Where lines go. A line is taken when the promise resolves. */
export interface LineSink {
  write(line: string): Promise<void>;
}

/** Writes lines to a stream no faster than they are taken; `OutputClosed` once nobody reads any more. */
export class LineOutput implements LineSink {
  readonly #stream: Writable;
  #closed = false;

  constructor(stream: Writable) {
    this.#stream = stream;
    stream.on('error', () => (this.#closed = true));
  }

  async write(line: string): Promise<void> {
    if (this.#closed) throw new OutputClosed();
    if (this.#stream.write(`${line}\n`)) return;
    await Promise.race([once(this.#stream, 'drain'), once(this.#stream, 'close')]).catch(() => undefined);
  }
}

/** Runs with a new file to write lines to, or with the standard output when no name is given. A file that exists is left alone. */
export async function withOutput(
  path: string | undefined,
  standard: Writable,
  run: (sink: LineSink) => Promise<void>,
): Promise<void> {
  if (path === undefined) return run(new LineOutput(standard));
  const file = await createFile(path);
  try {
    await run({ write: (line) => writeTo(file, path, line) });
  } finally {
    await file.close();
  }
}

async function createFile(path: string): Promise<FileHandle> {
  try {
    return await open(path, 'wx');
  } catch (error) {
    throw cannotWrite(path, error);
  }
}

async function writeTo(file: FileHandle, path: string, line: string): Promise<void> {
  try {
    await file.write(`${line}\n`);
  } catch (error) {
    throw cannotWrite(path, error);
  }
}
