import type { Instant } from '@tidemark/kernel';
import { describeFault } from '@tidemark/runtime';
import { BehaviorSubject } from 'rxjs';
import type { Observable } from 'rxjs';

/** Whether what a part does outside the process succeeds. */
export type PartState =
  | { readonly state: 'up' }
  /** `since` is the first failure of the row. */
  | { readonly state: 'down'; readonly since: Instant; readonly lastError: string };

/** Told by those who try again and again how it goes. */
export class PartWatch {
  readonly #now: () => Instant;
  readonly #state = new BehaviorSubject<PartState>({ state: 'up' });

  constructor(now: () => Instant) {
    this.#now = now;
  }

  get state(): Observable<PartState> {
    return this.#state;
  }

  readonly failed = (fault: unknown): void => {
    const before = this.#state.value;
    const since = before.state === 'down' ? before.since : this.#now();
    this.#state.next({ state: 'down', since, lastError: describeFault(fault) });
  };

  readonly succeeded = (): void => {
    if (this.#state.value.state === 'down') this.#state.next({ state: 'up' });
  };
}
