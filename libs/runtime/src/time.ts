import type { Instant } from '@tidemark/kernel';

/** What time it is. Only the process's entry knows the clock of the machine. */
export interface Clock {
  readonly now: () => Instant;
}

/** How to be called later. */
export interface Timer {
  /** Calls `fire` once, when about `delay_ms` have passed; the returned function calls that off. */
  readonly after: (delay_ms: number, fire: () => void) => () => void;
}

/** Both, as shells take them. */
export type Time = Clock & Timer;

/** Resolves when the delay has passed or the wait is to stop, whichever is first. */
export function elapsed(timer: Timer, delay_ms: number, stop: AbortSignal): Promise<void> {
  if (stop.aborted) return Promise.resolve();
  return new Promise((resolve) => {
    const done = (): void => {
      cancel();
      stop.removeEventListener('abort', done);
      resolve();
    };
    const cancel = timer.after(delay_ms, done);
    stop.addEventListener('abort', done);
  });
}
