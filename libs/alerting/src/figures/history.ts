import type { Instant } from '@tidemark/kernel';
import type { AlertClass, AlertPriority } from '@tidemark/words';
import type { AlertEvent } from '../alert-event.ts';
import { priorityOf } from '../policy.ts';

/** An alert event and whose it is: `account/riser`. Events of one riser come in their order. */
export interface RecordedAlertEvent {
  readonly riser: string;
  readonly event: AlertEvent;
}

/** One time an alert asked for attention. */
export interface Annunciation {
  readonly at: Instant;
  readonly riser: string;
  readonly id: string;
  readonly name: string;
  readonly label: string;
  readonly class: AlertClass;
  readonly priority: AlertPriority;
}

/**
 * The times at which alerts asked for attention. One that is set aside or shelved asks nobody; one that alarms anew as
 * its shelf is over is not a further alarm and not counted.
 */
export function annunciationsOf(history: readonly RecordedAlertEvent[]): readonly Annunciation[] {
  const shelved = new Set<string>();
  const list: Annunciation[] = [];
  for (const { riser, event } of history) {
    const { id, at } = event;
    if (event.type === 'alert-shelved') shelved.add(id);
    if (event.type === 'alert-unshelved' || event.type === 'alert-closed') shelved.delete(id);
    if (event.type !== 'alert-raised' || event.aside !== undefined || shelved.has(id)) continue;
    const { name, label, class: alertClass } = event.subject;
    list.push({ at, riser, id, name, label, class: alertClass, priority: priorityOf(alertClass) });
  }
  return list.toSorted((one, other) => one.at - other.at);
}

/** A stretch of time: from its beginning up to, and without, its end. */
export interface Span {
  readonly from: Instant;
  readonly to: Instant;
}

export const isWithin = ({ from, to }: Span, at: Instant): boolean => from <= at && at < to;
