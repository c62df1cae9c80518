import type { Instant } from '@tidemark/kernel';
import { instant, invariant } from '@tidemark/kernel';
import type { Time } from './time.ts';

interface Pending {
  readonly at: Instant;
  readonly order: number;
  readonly fire: () => void;
}

/** Time for tests: it stands still until it is moved, and calls back exactly what fell due on the way. */
export class TestClock implements Time {
  #now: Instant;
  #order = 0;
  readonly #pending = new Set<Pending>();

  constructor(start: Instant) {
    this.#now = start;
  }

  readonly now = (): Instant => this.#now;

  readonly after = (delay_ms: number, fire: () => void): (() => void) => {
    const pending = { at: instant(this.#now + Math.max(0, delay_ms)), order: (this.#order += 1), fire };
    this.#pending.add(pending);
    return () => this.#pending.delete(pending);
  };

  /** How many calls are waiting. */
  get waiting(): number {
    return this.#pending.size;
  }

  /** Moves on to a moment, calling what falls due in its order, each at its own time. */
  moveTo(target: Instant): void {
    invariant(target >= this.#now, 'a test clock moves forward');
    for (let next = this.#next(target); next !== undefined; next = this.#next(target)) {
      this.#pending.delete(next);
      this.#now = next.at;
      next.fire();
    }
    this.#now = target;
  }

  /** `moveTo` by a span. */
  advance(span_ms: number): void {
    this.moveTo(instant(this.#now + span_ms));
  }

  #next(target: Instant): Pending | undefined {
    const due = [...this.#pending].filter(({ at }) => at <= target);
    return due.sort((one, other) => one.at - other.at || one.order - other.order)[0];
  }
}
