import type { Subscribe, SubscriptionMessage } from './journal.ts';

/** Messages until they are stopped. */
type Follow = (stop: AbortSignal) => AsyncGenerator<SubscriptionMessage, undefined>;

/**
 * A subscription that its reader, its options' signal or the journal that holds it may stop. It stands in `held` from its
 * beginning to its end, whichever way it ends; a fault of the messages ends it and is passed on.
 */
export function heldSubscription(
  held: Set<AbortController>,
  { signal }: Subscribe,
  follow: Follow,
): AsyncIterator<SubscriptionMessage, undefined> {
  const stop = new AbortController();
  const abort = (): void => stop.abort();
  if (signal?.aborted === true) abort();
  signal?.addEventListener('abort', abort);
  held.add(stop);
  const messages = follow(stop.signal);
  const release = (): void => {
    signal?.removeEventListener('abort', abort);
    held.delete(stop);
  };
  return {
    next: async () => {
      try {
        const message = await messages.next();
        if (message.done === true) release();
        return message;
      } catch (fault) {
        release();
        throw fault;
      }
    },
    return: async () => {
      abort();
      release();
      return await messages.return(undefined);
    },
  };
}
