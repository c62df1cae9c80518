import type { Position } from '@tidemark/journal';
import type { Result } from '@tidemark/kernel';
import { fail, ok } from '@tidemark/kernel';
import { describeFault } from './fault.ts';
import type { Capture } from './projection-host.ts';
import type { SnapshotStore, StateCodec } from './snapshots.ts';
import type { Timer } from './time.ts';

/** What is kept, where, and how often. */
export interface SnapshotOptions<State> {
  readonly store: SnapshotStore;
  readonly codec: StateCodec<State>;
  /** Must differ whenever the fold would make another state, or the codec other bytes, of the same events. */
  readonly version: string;
  readonly capture: () => Capture<State> | undefined;
  /**
   * Resolves when everything that follows from the events so far is durable, or with `false` when it will not be. A
   * snapshot is stored only then: the events before it are not folded again, so nothing that follows from them may
   * still be owed.
   */
  readonly settled: () => Promise<boolean>;
  readonly timer: Timer;
  /** The pause between one snapshot and the next. */
  readonly every_ms: number;
}

/** Why there is no state to go on from. */
export type NoSnapshot = 'absent' | 'other-version' | 'ahead-of-journal' | 'unreadable';

/** Stores snapshots of a projection from time to time. A store that fails costs start-up time and nothing else. */
export class SnapshotKeeper<State> {
  readonly #options: SnapshotOptions<State>;
  #cancel: (() => void) | undefined;
  #saving: Promise<void> | undefined;
  #stopped = false;
  #lastError: string | undefined;

  constructor(options: SnapshotOptions<State>) {
    this.#options = options;
  }

  /** The last failure of the store, until it succeeds again. */
  get lastError(): string | undefined {
    return this.#lastError;
  }

  /** The states to go on from, if they are of this fold and the journal holds what they were folded from. */
  async load(head: Position | undefined): Promise<Result<Capture<State>, NoSnapshot>> {
    try {
      const snapshot = await this.#options.store.load();
      if (snapshot === undefined) return fail('absent');
      if (snapshot.version !== this.#options.version) return fail('other-version');
      if (head === undefined || snapshot.position > head) return fail('ahead-of-journal');
      const states = new Map([...snapshot.states].map(([key, bytes]) => [key, this.#options.codec.decode(bytes)]));
      return ok({ position: snapshot.position, states });
    } catch (fault) {
      this.#lastError = describeFault(fault);
      return fail('unreadable');
    }
  }

  /** Begins to store snapshots. */
  start(): void {
    if (this.#stopped) return;
    this.#cancel = this.#options.timer.after(this.#options.every_ms, () => {
      void this.save().then(() => this.start());
    });
  }

  /** Stores what is so now. */
  async save(): Promise<void> {
    this.#saving ??= this.#save().finally(() => (this.#saving = undefined));
    await this.#saving;
  }

  /** Ends after what is being stored; the caller may `save` a last time. */
  async stop(): Promise<void> {
    this.#stopped = true;
    this.#cancel?.();
    await this.#saving;
  }

  async #save(): Promise<void> {
    const { capture, settled, codec, store, version } = this.#options;
    const captured = capture();
    if (captured === undefined) return;
    if (!(await settled())) return;
    const states = new Map<string, Uint8Array>();
    for (const [key, state] of captured.states) {
      states.set(key, codec.encode(state));
      // Between two states other work of the process goes on.
      await new Promise(setImmediate);
    }
    try {
      await store.save({ version, position: captured.position, states });
      this.#lastError = undefined;
    } catch (fault) {
      this.#lastError = describeFault(fault);
    }
  }
}
