import type { Instant } from '@tidemark/kernel';

/** How many failures go by without a delay, and how far the delay grows. Choices of this project, named beside each use. */
interface Patience {
  readonly free: number;
  readonly longest_ms: number;
}

/** One person from one address: three slips of the finger are free, then it doubles from a second to a quarter of an hour. */
const pair: Patience = { free: 3, longest_ms: 900_000 };

/** One address over all names: somebody who tries the same password on everybody. */
const address: Patience = { free: 30, longest_ms: 60_000 };

/** One name over all addresses: NIST SP 800-63B-4, 3.2.2, allows a hundred failures at most (from memory). */
const person: Patience = { free: 50, longest_ms: 900_000 };

const firstDelay_ms = 1_000;

/** A count is forgotten so long after the last failure. A choice of this project. */
const forgottenAfter_ms = 86_400_000;

/** The most counts kept; the longest untouched goes first. A choice of this project. */
export const countsLimit = 20_000;

interface Count {
  readonly failures: number;
  readonly lastAt: Instant;
  readonly openAt: Instant;
}

/**
 * Slows guessing down without locking anybody out: who once logged in from an address is held up there by the failures
 * of that very name at that very address only, never by what others try elsewhere. An attempt counts as failed before
 * its password is looked at, so that many at once gain nothing.
 */
export class LoginThrottle {
  readonly #clock: () => Instant;
  readonly #counts = new Map<string, Count>();
  readonly #known = new Map<string, true>();

  constructor(clock: () => Instant) {
    this.#clock = clock;
  }

  /** Takes an attempt, or says how long to wait. */
  attempt(name: string, from: string): { readonly wait_ms: number } {
    const now = this.#clock();
    const counted = this.#countsFor(name, from);
    const openAt = Math.max(...counted.map(([key]) => this.#counts.get(key)?.openAt ?? now));
    if (openAt > now) return { wait_ms: openAt - now };
    for (const [key, patience] of counted) this.#fail(key, patience, now);
    return { wait_ms: 0 };
  }

  /** The attempt was right: its counts go back to nothing, and the address is known for this name. */
  succeeded(name: string, from: string): void {
    const now = this.#clock();
    for (const [key] of this.#countsFor(name, from)) {
      const count = this.#counts.get(key);
      if (key === pairKey(name, from)) this.#counts.delete(key);
      // Right passwords of one's own must not wipe out what the same address tried on others: only this attempt is taken back.
      else if (count !== undefined) this.#set(key, { ...count, failures: count.failures - 1, openAt: now });
    }
    this.#known.delete(pairKey(name, from));
    this.#known.set(pairKey(name, from), true);
    trim(this.#known);
  }

  #countsFor(name: string, from: string): readonly (readonly [string, Patience])[] {
    const own = [pairKey(name, from), pair] as const;
    if (this.#known.has(own[0])) return [own];
    return [own, [JSON.stringify({ from }), address], [JSON.stringify({ name }), person]];
  }

  #fail(key: string, { free, longest_ms }: Patience, now: Instant): void {
    const before = this.#counts.get(key);
    const remembered = before !== undefined && now - before.lastAt < forgottenAfter_ms ? before.failures : 0;
    const failures = remembered + 1;
    const delay_ms = failures <= free ? 0 : Math.min(longest_ms, firstDelay_ms * 2 ** (failures - free - 1));
    this.#set(key, { failures, lastAt: now, openAt: (now + delay_ms) as Instant });
  }

  #set(key: string, count: Count): void {
    this.#counts.delete(key);
    this.#counts.set(key, count);
    trim(this.#counts);
  }
}

const pairKey = (name: string, from: string): string => JSON.stringify({ name, from });

/** A map keeps the order in which its keys were set: the first is the longest untouched. */
function trim(map: Map<string, unknown>): void {
  const oldest = map.keys().next().value;
  if (map.size > countsLimit && oldest !== undefined) map.delete(oldest);
}
