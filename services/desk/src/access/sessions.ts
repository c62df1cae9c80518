import type { Instant } from '@tidemark/kernel';
import { keptOf, newSecret } from './secrets.ts';

/**
 * So long without a request, and a session ends. An open live stream counts as use: a watch that goes blank in a staffed
 * room because nobody clicked would be a danger. A choice of this project; NIST SP 800-63B-4, 2.2.3, suggests an hour
 * for its second assurance level (from memory).
 */
export const idleLimit_ms = 3_600_000;

/** So long after the log-in a session ends whatever is done: a shift of twelve hours. The same clause suggests a day at most (from memory). */
export const absoluteLimit_ms = 43_200_000;

/** The most sessions one person has; the longest unused one ends for a new one. A choice of this project. */
export const perPersonLimit = 20;

/** Somebody who is logged in. The secret itself is with the browser only. */
export interface Session {
  readonly id: string;
  readonly name: string;
  /** What every unsafe request must carry beside the cookie. */
  readonly token: string;
  readonly endsAt: Instant;
}

interface Kept extends Session {
  usedAt: Instant;
}

/**
 * Who is logged in. It lives in memory only: nothing that opens a session ever lies on a disk or in a backup, and what
 * is revoked is revoked at once. The price is that everybody logs in anew after a restart.
 */
export class Sessions {
  readonly #clock: () => Instant;
  readonly #kept = new Map<string, Kept>();

  constructor(clock: () => Instant) {
    this.#clock = clock;
  }

  /** Begins a session; the secret is for the cookie and told this once. */
  open(name: string): { readonly secret: string; readonly session: Session } {
    const now = this.#clock();
    this.#forgetEnded(now);
    const [secret, token] = [newSecret(), newSecret()];
    const session: Kept = {
      id: keptOf(secret),
      name,
      token,
      endsAt: (now + absoluteLimit_ms) as Instant,
      usedAt: now,
    };
    const own = [...this.#kept.values()].filter((each) => each.name === name);
    const oldest = own.toSorted((left, right) => left.usedAt - right.usedAt)[0];
    if (oldest !== undefined && own.length >= perPersonLimit) this.#kept.delete(oldest.id);
    this.#kept.set(session.id, session);
    return { secret, session };
  }

  /** The session that a cookie's secret opens, and marks it as used. */
  find(secret: string): Session | undefined {
    return this.use(keptOf(secret));
  }

  /** The session of this id if it still holds, and marks it as used. */
  use(id: string): Session | undefined {
    const now = this.#clock();
    const session = this.#kept.get(id);
    if (session === undefined || hasEnded(session, now)) {
      this.#kept.delete(id);
      return undefined;
    }
    session.usedAt = now;
    return session;
  }

  end(id: string): void {
    this.#kept.delete(id);
  }

  /** Ends what a person has open, but for the session named. */
  endAllOf(name: string, except?: string): void {
    for (const { id, name: whose } of [...this.#kept.values()])
      if (whose === name && id !== except) this.#kept.delete(id);
  }

  #forgetEnded(now: Instant): void {
    for (const session of [...this.#kept.values()]) if (hasEnded(session, now)) this.#kept.delete(session.id);
  }
}

const hasEnded = ({ endsAt, usedAt }: Kept, now: Instant): boolean => now >= endsAt || now - usedAt >= idleLimit_ms;
