import type { Position } from '@tidemark/journal';

/**
 * Stored states. Only a cache: a snapshot that is missing, damaged, of another fold or ahead of the journal is left
 * aside, and deleting all of them changes nothing but start-up time.
 */
export interface Snapshot {
  /** Which fold made the states. */
  readonly version: string;
  readonly position: Position;
  readonly states: ReadonlyMap<string, Uint8Array>;
}

/** Where the newest snapshot of one projection is kept. Both throw when the world fails; the keeper goes on without. */
export interface SnapshotStore {
  /** The newest; absent where there is none. */
  load(): Promise<Snapshot | undefined>;
  /** Replaces it, all or nothing. */
  save(snapshot: Snapshot): Promise<void>;
}

/** States as bytes and back. */
export interface StateCodec<State> {
  readonly encode: (state: State) => Uint8Array;
  readonly decode: (bytes: Uint8Array) => State;
}

/** For tests, and where nothing is to be kept. */
export class MemorySnapshots implements SnapshotStore {
  #snapshot: Snapshot | undefined;

  load(): Promise<Snapshot | undefined> {
    return Promise.resolve(this.#snapshot);
  }

  save(snapshot: Snapshot): Promise<void> {
    this.#snapshot = snapshot;
    return Promise.resolve();
  }
}
