import type { Accounts, LiveEvent } from '@tidemark/api';
import { isAmong } from '@tidemark/api';
import type { Position } from '@tidemark/journal';
import type { Observable, Subscription } from 'rxjs';
import type { RiserChange } from '../ports.ts';

/** How many changes of each account are remembered for readers that come back. A choice of this project: minutes of a busy site. */
const keptChanges = 1_024;

/** Why a reader cannot go on from where it left off. */
export type MissedReason = LiveEvent<'resync'>['reason'];

interface Kept {
  readonly changes: RiserChange[];
  /** Everything of the account after this position is remembered. */
  floor: Position | undefined;
}

/** The last changes of every account, each account by itself: how much happens at one is not to be told from another. */
export class RememberedChanges {
  readonly #start: Position | undefined;
  readonly #subscription: Subscription;
  readonly #accounts = new Map<string, Kept>();

  constructor(changes: Observable<RiserChange>, start: Position | undefined) {
    this.#start = start;
    this.#subscription = changes.subscribe((change) => {
      this.#remember(change);
    });
  }

  /** The position of the last change at these accounts; before there was one, where the desk began. */
  position(accounts: Accounts): Position | undefined {
    const last = this.#of(accounts).flatMap(({ changes }) => changes.at(-1)?.position ?? []);
    return last.reduce<Position | undefined>(
      (newest, each) => (newest === undefined || each > newest ? each : newest),
      this.#start,
    );
  }

  /** What changed at these accounts after a position, in order, if all of that is still remembered. */
  since(accounts: Accounts, seen: Position): readonly RiserChange[] | MissedReason {
    const kept = this.#of(accounts);
    const floors = [this.#start, ...kept.map(({ floor }) => floor)];
    if (floors.some((floor) => floor !== undefined && seen < floor)) return 'too-old';
    return kept
      .flatMap(({ changes }) => changes.filter(({ position }) => position > seen))
      .toSorted((left, right) => (left.position < right.position ? -1 : 1));
  }

  close(): void {
    this.#subscription.unsubscribe();
  }

  #remember(change: RiserChange): void {
    const kept = this.#accounts.get(change.key.account) ?? { changes: [], floor: this.#start };
    this.#accounts.set(change.key.account, kept);
    kept.changes.push(change);
    if (kept.changes.length > keptChanges) kept.floor = kept.changes.shift()?.position;
  }

  #of(accounts: Accounts): readonly Kept[] {
    return [...this.#accounts].filter(([account]) => isAmong(accounts, account)).map(([, kept]) => kept);
  }
}
