import { instant } from '@tidemark/kernel';
import type { Time } from '@tidemark/runtime';

/** The longest wait that the engine's timers take; a longer one would fire at once. */
const longestWait_ms = 2 ** 31 - 1;

/** The clock of this machine. */
export const systemTime: Time = {
  now: () => instant(Date.now()),
  after: (delay_ms, fire) => {
    const timer = setTimeout(fire, Math.min(longestWait_ms, Math.max(0, delay_ms)));
    return () => clearTimeout(timer);
  },
};

/**
 * A clock that runs so many times as fast from the moment it is made. For demonstrations: panels, deadlines and
 * receipts all live by it, so the physics of a story stays right, which sending its signals faster would not.
 */
export function acceleratedTime(time: Time, speed: number): Time {
  const begin = time.now();
  return {
    now: () => instant(begin + (time.now() - begin) * speed),
    after: (delay_ms, fire) => time.after(delay_ms / speed, fire),
  };
}
