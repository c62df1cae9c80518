import { unreachable } from '@tidemark/kernel';
import type { Duty } from '@tidemark/words';
import type { Alert, OwedDuty } from './alert.ts';
import type { AlertEvent } from './alert-event.ts';
import { nextLife, seenAfresh } from './alert-life.ts';

/** The alerts of one riser by their ids. What is closed is gone. */
export type AlertBook = ReadonlyMap<string, Alert>;

/** A book without an alert. */
export const initialBook: AlertBook = new Map();

/** Folds one event into the book. Total: an event of an alert that the book does not have changes nothing. */
export function evolve(book: AlertBook, event: AlertEvent): AlertBook {
  const known = book.get(event.id);
  const next = new Map(book);
  if (event.type === 'alert-raised') return next.set(event.id, raised(known, event));
  if (known === undefined) return book;
  if (event.type !== 'alert-closed') return next.set(event.id, evolveAlert(known, event));
  next.delete(event.id);
  return next;
}

type Raised = Extract<AlertEvent, { type: 'alert-raised' }>;

function raised(known: Alert | undefined, { id, at, subject, aside, occasion, duties }: Raised): Alert {
  return {
    ...subject,
    id,
    life: nextLife(known?.life ?? 'normal', 'condition-on', subject.latches),
    raisedAt: occasion === 'same' && known !== undefined ? known.raisedAt : at,
    activations: (known?.activations ?? 0) + 1,
    returnedAt: undefined,
    acknowledged: undefined,
    shelving: known?.shelving,
    aside,
    duties,
    level: known?.level ?? 0,
  };
}

function evolveAlert(alert: Alert, event: Exclude<AlertEvent, { type: 'alert-raised' | 'alert-closed' }>): Alert {
  const { at } = event;
  switch (event.type) {
    case 'alert-returned':
      return { ...alert, life: nextLife(alert.life, 'condition-off', alert.latches), returnedAt: at };
    case 'alert-latch-released':
      return { ...alert, life: nextLife(alert.life, 'latch-released', alert.latches) };
    case 'alert-acknowledged': {
      const acknowledged = { by: event.by, at };
      return { ...alert, life: nextLife(alert.life, 'acknowledge', alert.latches), acknowledged };
    }
    case 'alert-shelved': {
      const { by, until, reason } = event;
      return { ...alert, shelving: { since: alert.shelving?.since ?? at, until, by, reason } };
    }
    case 'alert-unshelved':
      return { ...alert, shelving: undefined, life: seenAfresh(alert.life), acknowledged: undefined };
    case 'alert-set-aside':
      return { ...alert, aside: event.aside };
    case 'alert-taken-back':
      return { ...alert, aside: undefined, life: seenAfresh(alert.life), acknowledged: undefined };
    case 'alert-reclassed':
      return event.graver
        ? { ...alert, class: event.class, life: seenAfresh(alert.life), acknowledged: undefined }
        : { ...alert, class: event.class };
    case 'duty-owed':
      return { ...alert, duties: [...withoutDuty(alert, event.owed.duty), event.owed] };
    case 'duty-fulfilled':
      return withDuty(alert, event.duty, (owed) => ({ ...owed, fulfilled: { by: event.by, at } }));
    case 'duty-lapsed':
      return withDuty(alert, event.duty, (owed) => ({ ...owed, lapsedAt: at }));
    case 'alert-escalated':
    case 'alert-escalation-lowered':
      return { ...alert, level: event.level };
    default:
      return unreachable(event);
  }
}

const withoutDuty = ({ duties }: Alert, duty: Duty): readonly OwedDuty[] => duties.filter((each) => each.duty !== duty);

const withDuty = (alert: Alert, duty: Duty, change: (owed: OwedDuty) => OwedDuty): Alert => ({
  ...alert,
  duties: alert.duties.map((owed) => (owed.duty === duty ? change(owed) : owed)),
});
