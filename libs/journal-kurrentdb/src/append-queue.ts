import type { EncodedAppend, StreamName } from '@tidemark/journal';
import { appendLimit_bytes, JournalUnavailable } from '@tidemark/journal';
import { AppendQueueFull } from './faults.ts';
import type { Group, Outcome, Turn } from './stream-writer.ts';

/** The most that waits for the server. */
export const queueLimit_appends = 20_000;
export const queueLimit_bytes = 64_000_000;

/** The most that is under way at the server; more gained nothing (measured), and some of it could be lost at once. */
export const inFlightLimit_groups = 128;
export const inFlightLimit_bytes = 8_000_000;

interface Waiting {
  readonly append: EncodedAppend;
  readonly resolve: (outcome: Outcome) => void;
  readonly reject: (fault: unknown) => void;
}

/** Writes one group; the next group of its stream begins when it is done. */
export type WriteGroup = (group: Group, turn: Turn) => Promise<readonly Outcome[]>;

/**
 * Appends in the order in which they were asked for. Those of one stream that follow each other go together; those of
 * different streams are under way at the same time. A stream that is busy holds up what comes after it, so that the log
 * keeps the order of the calls, except after a fault.
 */
export class AppendQueue {
  readonly #write: WriteGroup;
  readonly #busy = new Set<StreamName>();
  #waiting: Waiting[] = [];
  #waiting_bytes = 0;
  #inFlight_bytes = 0;
  #lastSent: Promise<void> = Promise.resolve();
  #idle: () => void = () => undefined;

  constructor(write: WriteGroup) {
    this.#write = write;
  }

  /** Resolves when the append is durable or refused. A full queue refuses at once with `JournalUnavailable`. */
  add(append: EncodedAppend): Promise<Outcome> {
    return new Promise((resolve, reject) => {
      this.#assertRoom(append);
      this.#waiting.push({ append, resolve, reject });
      this.#waiting_bytes += append.size_bytes;
      this.#launch();
    });
  }

  /** Resolves once nothing is waiting or under way. */
  drained(): Promise<void> {
    if (this.#waiting.length === 0 && this.#busy.size === 0) return Promise.resolve();
    return new Promise((resolve) => {
      this.#idle = resolve;
    });
  }

  #launch(): void {
    let started = 0;
    while (this.#mayStart(this.#waiting[started])) started += this.#start(started);
    if (started > 0) this.#waiting = this.#waiting.slice(started);
    if (this.#waiting.length === 0 && this.#busy.size === 0) this.#idle();
  }

  #mayStart(next: Waiting | undefined): boolean {
    if (next === undefined || this.#busy.has(next.append.stream)) return false;
    const hasRoom = this.#inFlight_bytes + next.append.size_bytes <= inFlightLimit_bytes;
    return this.#busy.size === 0 || (this.#busy.size < inFlightLimit_groups && hasRoom);
  }

  /** Starts the group that begins here and says how many appends it has. */
  #start(index: number): number {
    const group = groupAt(this.#waiting, index);
    const stream = group[0]?.append.stream as StreamName;
    const size_bytes = group.reduce((sum, { append }) => sum + append.size_bytes, 0);
    const before = this.#lastSent;
    let sent = (): void => undefined;
    this.#lastSent = new Promise((resolve) => {
      sent = resolve;
    });
    this.#busy.add(stream);
    this.#waiting_bytes -= size_bytes;
    this.#inFlight_bytes += size_bytes;
    void this.#settle(group, { before, sent }).then(() => {
      this.#busy.delete(stream);
      this.#inFlight_bytes -= size_bytes;
      this.#launch();
    });
    return group.length;
  }

  async #settle(group: readonly Waiting[], turn: Turn): Promise<void> {
    try {
      const stream = group[0]?.append.stream as StreamName;
      const outcomes = await this.#write({ stream, appends: group.map(({ append }) => append) }, turn);
      for (const [index, { resolve }] of group.entries()) resolve(outcomes[index] as Outcome);
    } catch (fault) {
      for (const { reject } of group) reject(fault);
    }
  }

  #assertRoom({ size_bytes }: EncodedAppend): void {
    if (this.#waiting.length === 0) return;
    if (this.#waiting.length >= queueLimit_appends)
      throw new JournalUnavailable('append', new AppendQueueFull(`${queueLimit_appends} appends`));
    if (this.#waiting_bytes + size_bytes > queueLimit_bytes)
      throw new JournalUnavailable('append', new AppendQueueFull(`${queueLimit_bytes} bytes`));
  }
}

/** The appends from here on that are to one stream, as many as fit into one append of the server. */
function groupAt(waiting: readonly Waiting[], index: number): readonly Waiting[] {
  const stream = waiting[index]?.append.stream;
  let size_bytes = 0;
  let end = index;
  for (; end < waiting.length; end += 1) {
    const next = waiting[end]?.append;
    size_bytes += next?.size_bytes ?? 0;
    if (next?.stream !== stream || (end > index && size_bytes > appendLimit_bytes)) break;
  }
  return waiting.slice(index, end);
}
