import { setTimeout as elapse } from 'node:timers/promises';
import type { Instant } from '@tidemark/kernel';
import type { Progress } from '../progress.ts';
import type { Terminal } from '../terminal.ts';

/** How many times real time, or as fast as it can. */
export type Speed = number | 'max';

/** So often the progress is told while nothing happens. */
const tick_ms = 200;

/** Lets the time of a story pass at its speed, and tells how far it has come. */
export class Pace {
  readonly #speed: Speed;
  readonly #progress: Progress;
  readonly #terminal: Terminal;
  readonly #begin: Instant;

  constructor(speed: Speed, progress: Progress, terminal: Terminal) {
    this.#speed = speed;
    this.#progress = progress;
    this.#terminal = terminal;
    this.#begin = terminal.now();
  }

  /** Resolves at a moment of the story, or at once when the user has enough. */
  async until(at_s: number): Promise<void> {
    const { now, stop } = this.#terminal;
    const speed = this.#speed;
    if (speed !== 'max') {
      const due = this.#begin + (at_s * 1_000) / speed;
      for (let wait_ms = due - now(); wait_ms > 0 && !stop.aborted; wait_ms = due - now()) {
        await elapse(Math.min(wait_ms, tick_ms), undefined, { signal: stop }).catch(() => undefined);
        this.#progress.reach(Math.floor(((now() - this.#begin) / 1_000) * speed));
      }
    }
    if (!stop.aborted) this.#progress.reach(Math.floor(at_s));
  }
}
