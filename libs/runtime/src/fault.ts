import { JournalClosed, JournalUnavailable } from '@tidemark/journal';

/**
 * Whether trying again may help. Everything else that is thrown is a bug, a closed journal included: whoever closes
 * the journal stops its users first.
 */
export const isPassing = (error: unknown): error is JournalUnavailable =>
  error instanceof JournalUnavailable && !(error.cause instanceof JournalClosed);

/** A fault with its causes, as one line for a health value. */
export function describeFault(error: unknown): string {
  const causes: string[] = [];
  for (let each = error; each instanceof Error && causes.length < 5; each = each.cause) causes.push(each.message);
  return causes.length === 0 ? String(error) : causes.join(': ');
}
