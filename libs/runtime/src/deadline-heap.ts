import type { Instant } from '@tidemark/kernel';

/** A key and when it falls due. */
export interface Due {
  readonly key: string;
  readonly at: Instant;
}

/** Entries that no longer count are swept out when they outnumber the keys, but not before there are this many. */
const sweepFrom = 64;

/** One deadline per key, the earliest at hand: a binary heap that skips entries which were replaced meanwhile. */
export class DeadlineHeap {
  readonly #deadlines = new Map<string, Instant>();
  #heap: Due[] = [];

  get size(): number {
    return this.#deadlines.size;
  }

  /** Replaces the key's deadline; `undefined` takes it away. */
  set(key: string, at: Instant | undefined): void {
    if (this.#deadlines.get(key) === at) return;
    if (at === undefined) {
      this.#deadlines.delete(key);
      return;
    }
    this.#deadlines.set(key, at);
    this.#push({ key, at });
    if (this.#heap.length > sweepFrom && this.#heap.length > 2 * this.#deadlines.size) this.#sweep();
  }

  /** The earliest; of equals the key that sorts first, so that the order never depends on chance. */
  earliest(): Due | undefined {
    for (let top = this.#heap[0]; top !== undefined; top = this.#heap[0]) {
      if (this.#deadlines.get(top.key) === top.at) return top;
      this.#pop();
    }
    return undefined;
  }

  /** Takes the earliest out if it is due. */
  takeDue(now: Instant): Due | undefined {
    const top = this.earliest();
    if (top === undefined || top.at > now) return undefined;
    this.#pop();
    this.#deadlines.delete(top.key);
    return top;
  }

  #push(due: Due): void {
    let index = this.#heap.push(due) - 1;
    while (index > 0) {
      const parent = (index - 1) >> 1;
      if (!isBefore(due, this.#heap[parent])) break;
      this.#swap(index, parent);
      index = parent;
    }
  }

  #pop(): void {
    const last = this.#heap.pop();
    if (last === undefined || this.#heap.length === 0) return;
    this.#heap[0] = last;
    for (let index = 0; ;) {
      const [left, right] = [2 * index + 1, 2 * index + 2];
      const child = isBefore(this.#heap[right], this.#heap[left]) ? right : left;
      if (!isBefore(this.#heap[child], this.#heap[index])) return;
      this.#swap(index, child);
      index = child;
    }
  }

  #swap(one: number, other: number): void {
    const [first, second] = [this.#heap[one], this.#heap[other]];
    if (first === undefined || second === undefined) return;
    this.#heap[one] = second;
    this.#heap[other] = first;
  }

  #sweep(): void {
    this.#heap = [];
    for (const [key, at] of this.#deadlines) this.#push({ key, at });
  }
}

const isBefore = (one: Due | undefined, other: Due | undefined): boolean =>
  one !== undefined && (other === undefined || one.at < other.at || (one.at === other.at && one.key < other.key));
