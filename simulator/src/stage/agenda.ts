import { sees } from '../crew/sight.ts';
import { told_s } from '../plant/event.ts';
import type { Ledger } from './ledger.ts';
import type { Awaited, Due } from './story.ts';
import type { World } from './world.ts';

/** One thing that is due at a time, or so long after something is so. */
export class Appointment {
  readonly #due: Due;
  readonly #since_s: number;
  #seenAt_s: number | undefined;

  /** `since_s`: when the thing before it was done, or the beginning. */
  constructor(due: Due, since_s: number) {
    this.#due = due;
    this.#since_s = since_s;
  }

  /** When it is due, to the millisecond, as far as it is known by now; never before what comes before it. */
  get at_s(): number {
    return told_s(this.#exact_s());
  }

  /** Looks whether what it waits for is so. */
  look(at_s: number, world: World, ledger: Ledger): void {
    if (!('awaits' in this.#due) || this.#seenAt_s !== undefined) return;
    if (isSo(this.#due.awaits, world, { ledger, since_s: this.#since_s })) this.#seenAt_s = at_s;
  }

  #exact_s(): number {
    const due = this.#due;
    if ('at_s' in due) return Math.max(due.at_s, this.#since_s);
    if ('after_s' in due) return this.#since_s + due.after_s;
    const atLatest_s = this.#since_s + (due.atMost_s ?? Infinity);
    return this.#seenAt_s === undefined ? atLatest_s : Math.min(this.#seenAt_s + due.wait_s, atLatest_s);
  }
}

function isSo(
  awaited: Awaited,
  world: World,
  { ledger, since_s }: { readonly ledger: Ledger; readonly since_s: number },
): boolean {
  if ('signal' in awaited) return world.isSaidActive(awaited.signal) === (awaited.said === 'active');
  if ('sees' in awaited) return sees(world.sight, awaited.sees);
  return ledger.milestones.some(({ at_s, milestone }) => milestone === awaited.milestone && at_s >= since_s);
}
