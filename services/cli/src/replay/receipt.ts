import type { Instant } from '@tidemark/kernel';
import { parseInstant } from '@tidemark/kernel';

/**
 * When a line says it was received: `receivedtime`, else `time` where the line is an event and not a recording
 * (CONTRACT 7.1). Looks at nothing else, so that a line to be quarantined keeps its place as well.
 */
export function receiptOf(line: string): Instant | undefined {
  const event = parseObject(line);
  if (event === undefined) return undefined;
  const { receivedtime, time, topic } = event;
  const said = receivedtime ?? (topic === undefined ? time : undefined);
  const at = typeof said === 'string' ? parseInstant(said) : undefined;
  return at?.ok === true ? at.value : undefined;
}

interface Times {
  readonly receivedtime?: unknown;
  readonly time?: unknown;
  readonly topic?: unknown;
}

function parseObject(line: string): Times | undefined {
  try {
    const value: unknown = JSON.parse(line);
    return typeof value === 'object' && value !== null ? value : undefined;
  } catch {
    return undefined;
  }
}
