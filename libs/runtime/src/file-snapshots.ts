import { createHash } from 'node:crypto';
import { open, readFile, rename } from 'node:fs/promises';
import type { Position } from '@tidemark/journal';
import type { Snapshot, SnapshotStore } from './snapshots.ts';

/** First line of the file: what follows, how long each state is, and the SHA-256 of all bytes after the line. */
interface Header {
  readonly format: 'tidemark-snapshot-1';
  readonly version: string;
  readonly position: string;
  readonly states: readonly (readonly [key: string, size_bytes: number])[];
  readonly sha256: string;
}

/** The file is not a whole snapshot: it was cut off, changed, or is something else. */
export class SnapshotDamaged extends Error {
  override readonly name = 'SnapshotDamaged';
  readonly code = 'snapshot-damaged';
}

/**
 * The newest snapshot in one file: a line of JSON, then the states one after the other. One file for all states,
 * since only states of the same position can be gone on from together. Written beside and moved into place.
 */
export class FileSnapshots implements SnapshotStore {
  readonly #path: string;

  constructor(path: string) {
    this.#path = path;
  }

  async load(): Promise<Snapshot | undefined> {
    const bytes = await this.#read();
    if (bytes === undefined) return undefined;
    const end = bytes.indexOf('\n');
    const header = parseHeader(bytes.toString('utf8', 0, Math.max(0, end)));
    const body = bytes.subarray(end + 1);
    const size_bytes = header.states.reduce((sum, [, size]) => sum + size, 0);
    if (body.length !== size_bytes || hashOf([body]) !== header.sha256)
      throw new SnapshotDamaged(`${this.#path} is damaged`);
    const states = new Map<string, Uint8Array>();
    let from = 0;
    for (const [key, size] of header.states) {
      states.set(key, body.subarray(from, from + size));
      from += size;
    }
    return { version: header.version, position: BigInt(header.position) as Position, states };
  }

  async save({ version, position, states }: Snapshot): Promise<void> {
    const parts = [...states.values()];
    const header: Header = {
      format: 'tidemark-snapshot-1',
      version,
      position: position.toString(),
      states: [...states].map(([key, bytes]) => [key, bytes.length]),
      sha256: hashOf(parts),
    };
    const beside = `${this.#path}.new`;
    const file = await open(beside, 'w', 0o600);
    try {
      await file.writeFile(`${JSON.stringify(header)}\n`);
      for (const part of parts) await file.writeFile(part);
      await file.sync();
    } finally {
      await file.close();
    }
    await rename(beside, this.#path);
  }

  async #read(): Promise<Buffer | undefined> {
    try {
      return await readFile(this.#path);
    } catch (error) {
      if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return undefined;
      throw error;
    }
  }
}

function parseHeader(line: string): Header {
  try {
    const header = JSON.parse(line) as Partial<Header>;
    if (header.format === 'tidemark-snapshot-1') return header as Header;
  } catch {
    // Falls through: whatever it is, it is no snapshot of ours.
  }
  throw new SnapshotDamaged('not a snapshot of this format');
}

const hashOf = (parts: readonly Uint8Array[]): string =>
  parts.reduce((hash, part) => hash.update(part), createHash('sha256')).digest('hex');
