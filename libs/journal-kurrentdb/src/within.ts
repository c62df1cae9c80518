import { AnswerOverdue, Stopped } from './faults.ts';

/** The value, unless it takes longer than the limit (`AnswerOverdue`) or the signal stops the wait (`Stopped`). */
export function within<Value>(work: Promise<Value>, limit_ms: number, stop?: AbortSignal): Promise<Value> {
  return new Promise((resolve, reject) => {
    const settle = (): void => {
      clearTimeout(timer);
      stop?.removeEventListener('abort', stopped);
    };
    const stopped = (): void => {
      settle();
      reject(new Stopped());
    };
    const timer = setTimeout(() => {
      settle();
      reject(new AnswerOverdue(limit_ms));
    }, limit_ms);
    stop?.addEventListener('abort', stopped);
    if (stop?.aborted === true) stopped();
    work.then(resolve, reject).finally(settle);
  });
}
