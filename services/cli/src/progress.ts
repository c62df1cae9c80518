import type { Instant } from '@tidemark/kernel';
import type { Terminal } from './terminal.ts';

/** How often a terminal is redrawn, and how often plain lines are written elsewhere. */
const redraw_ms = { terminal: 200, plain: 10_000 } as const;

const width_characters = 24;

/** Tells on standard error how far a command has come: a bar on a terminal, a plain line now and then elsewhere. */
export class Progress {
  readonly #terminal: Terminal;
  readonly #what: string;
  readonly #total: number | undefined;
  #shownAt: Instant;
  #count = 0;

  /** `what` is counted, e.g. `messages`; without a total there is no bar. */
  constructor(terminal: Terminal, what: string, total?: number) {
    this.#terminal = terminal;
    this.#what = what;
    this.#total = total;
    this.#shownAt = terminal.now();
  }

  get count(): number {
    return this.#count;
  }

  /** Counts one more. */
  advance(): void {
    this.reach(this.#count + 1);
  }

  /** Has come as far as this; never back. */
  reach(count: number): void {
    this.#count = Math.max(this.#count, count);
    const onTerminal = this.#terminal.err.isTTY === true;
    const now = this.#terminal.now();
    if (now - this.#shownAt < redraw_ms[onTerminal ? 'terminal' : 'plain']) return;
    this.#shownAt = now;
    this.#terminal.err.write(onTerminal ? `\r\u001b[K${this.#bar()}${this.#counted()}` : `${this.#counted()}\n`);
  }

  /** Leaves a line behind, on its own line of a terminal. */
  end(text: string): void {
    this.#terminal.err.write(`${this.#terminal.err.isTTY === true ? '\r\u001b[K' : ''}${text}\n`);
  }

  #counted(): string {
    return this.#total === undefined
      ? `${this.#count} ${this.#what}`
      : `${this.#count} of ${this.#total} ${this.#what}`;
  }

  #bar(): string {
    if (this.#total === undefined || this.#total === 0) return '';
    const full = Math.round((width_characters * this.#count) / this.#total);
    return `[${'#'.repeat(full)}${'.'.repeat(width_characters - full)}] `;
  }
}
