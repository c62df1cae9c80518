import type { Instant } from '@tidemark/kernel';
import { instant } from '@tidemark/kernel';
import type { Alert, OwedDuty } from './alert.ts';
import { isOwed } from './alert.ts';
import type { AlertEvent, AlertHappening } from './alert-event.ts';
import { isActive, isLatched } from './alert-life.ts';
import type { AlertCommand } from './decide.ts';
import { answerOwed, decide } from './decide.ts';
import type { AlertBook } from './evolve.ts';
import { evolve } from './evolve.ts';
import { reachesLevelAt } from './owing.ts';
import type { AlertPolicy } from './policy.ts';
import { priorityOf } from './policy.ts';

/** A book and what happened in it. */
export interface Handled {
  readonly book: AlertBook;
  readonly events: readonly AlertEvent[];
}

/** Lets the time up to a command pass, decides on it, and folds what follows. */
export function handle(book: AlertBook, command: AlertCommand, policy: AlertPolicy): Handled {
  const before = passTime(book, command.at, policy);
  const after = folded(before, decide(before.book, command, policy));
  return tidied(after, command.at, policy);
}

/**
 * Lets time pass up to and including a moment: shelvings end, deadlines pass, inaction escalates, each at its own
 * moment, so that it makes no difference in which slices the clock is asked.
 */
export function passTime(book: AlertBook, until: Instant, policy: AlertPolicy): Handled {
  let current: Handled = { book, events: [] };
  for (let due = nextDeadline(book, policy); due !== undefined && due <= until;) {
    current = tidied(folded(current, fallsDue(current.book, due, policy)), due, policy);
    due = nextDeadline(current.book, policy);
  }
  return current;
}

/** When something happens next though nobody does anything. */
export function nextDeadline(book: AlertBook, policy: AlertPolicy): Instant | undefined {
  let next = Infinity;
  for (const alert of book.values()) next = Math.min(next, deadlineOf(alert, policy));
  return next === Infinity ? undefined : instant(next);
}

const deadlineOf = (alert: Alert, policy: AlertPolicy): number =>
  Math.min(alert.shelving?.until ?? Infinity, escalatesAt(alert, policy)?.at ?? Infinity);

interface Escalating {
  readonly at: Instant;
  readonly owed: OwedDuty;
}

/** When the next level is reached, and over which duty. */
function escalatesAt(alert: Alert, policy: AlertPolicy): Escalating | undefined {
  let first: Escalating | undefined;
  for (const owed of alert.duties) {
    const at = isOwed(owed) ? reachesLevelAt(owed, alert.level + 1, policy) : undefined;
    if (at !== undefined && (first === undefined || at < first.at)) first = { at, owed };
  }
  return first;
}

function fallsDue(book: AlertBook, at: Instant, policy: AlertPolicy): readonly AlertEvent[] {
  return [...book.values()].flatMap((alert) => {
    const escalating = escalatesAt(alert, policy);
    const happenings =
      escalating !== undefined && escalating.at <= at
        ? escalates(alert, escalating.owed, { at, policy })
        : alert.shelving !== undefined && alert.shelving.until <= at
          ? [{ type: 'alert-unshelved', why: 'time-over' } as const, ...answerOwed(alert, at, policy)]
          : [];
    return happenings.map((happening): AlertEvent => ({ id: alert.id, at, ...happening }));
  });
}

function escalates(
  alert: Alert,
  { duty, dueAt }: OwedDuty,
  { at, policy }: { readonly at: Instant; readonly policy: AlertPolicy },
): readonly AlertHappening[] {
  const level = alert.level + 1;
  const priority = priorityOf(alert.class, level);
  const to = policy.escalation[alert.level]?.to ?? '';
  const unshelved: readonly AlertHappening[] =
    alert.shelving === undefined
      ? []
      : [{ type: 'alert-unshelved', why: 'escalated' }, ...answerOwed(alert, at, policy)];
  return [{ type: 'alert-escalated', level, priority, to, duty, dueAt }, ...unshelved];
}

const folded = ({ book, events }: Handled, more: readonly AlertEvent[]): Handled => ({
  book: more.reduce(evolve, book),
  events: [...events, ...more],
});

/** What follows by itself: duties lapse with their condition, escalation falls with its cause, what is done with is closed. */
function tidied(handled: Handled, at: Instant, policy: AlertPolicy): Handled {
  let current = handled;
  for (const { id } of handled.book.values())
    for (const look of [lapsing, lowering, closing]) {
      const alert = current.book.get(id);
      if (alert === undefined) break;
      current = folded(
        current,
        look(alert, at, policy).map((happening): AlertEvent => ({ id, at, ...happening })),
      );
    }
  return current;
}

function lapsing(alert: Alert, at: Instant): readonly AlertHappening[] {
  if (isActive(alert.life) || isLatched(alert.life)) return [];
  return alert.duties
    .filter(
      (owed) =>
        isOwed(owed) && (owed.lapses === 'on-return' || (owed.lapses === 'before-opening' && at < owed.opensAt)),
    )
    .map(({ duty }) => ({ type: 'duty-lapsed', duty }));
}

function lowering(alert: Alert, at: Instant, policy: AlertPolicy): readonly AlertHappening[] {
  let level = alert.level;
  while (level > 0 && !hasReached(alert, level, { at, policy })) level -= 1;
  return level === alert.level ? [] : [{ type: 'alert-escalation-lowered', level }];
}

const hasReached = (
  { duties }: Alert,
  level: number,
  { at, policy }: { readonly at: Instant; readonly policy: AlertPolicy },
): boolean =>
  duties.some((owed) => {
    const reached = isOwed(owed) ? reachesLevelAt(owed, level, policy) : undefined;
    return reached !== undefined && reached <= at;
  });

/** What is shelved stays until its time is over, so that the same occasion over again stays shelved. */
function closing({ life, aside, shelving, duties }: Alert): readonly AlertHappening[] {
  const isOver = aside === undefined ? life === 'normal' : !isActive(life) && !isLatched(life);
  return isOver && shelving === undefined && !duties.some(isOwed) ? [{ type: 'alert-closed' }] : [];
}
