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
  return followed(before, decide(before.book, command, policy), { at: command.at, policy });
}

/**
 * Lets time pass up to and including a moment: shelvings end, deadlines pass, inaction escalates, each at its own
 * moment, so that it makes no difference in which slices the clock is asked.
 */
export function passTime(book: AlertBook, until: Instant, policy: AlertPolicy): Handled {
  let current: Handled = { book, events: [] };
  for (let due = nextDeadline(book, policy); due !== undefined && due <= until;) {
    current = followed(current, fallsDue(current.book, due, policy), { at: due, policy });
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

function escalates(alert: Alert, { duty, dueAt }: OwedDuty, { at, policy }: When): readonly AlertHappening[] {
  const level = alert.level + 1;
  const priority = priorityOf(alert.class, level);
  const to = policy.escalation[alert.level]?.to ?? '';
  const unshelved: readonly AlertHappening[] =
    alert.shelving === undefined
      ? []
      : [{ type: 'alert-unshelved', why: 'escalated' }, ...answerOwed(alert, at, policy)];
  return [{ type: 'alert-escalated', level, priority, to, duty, dueAt }, ...unshelved];
}

interface When {
  readonly at: Instant;
  readonly policy: AlertPolicy;
}

/** Folds what happened, and what follows from it by itself: what happened to one alert touches no other. */
function followed(before: Handled, happened: readonly AlertEvent[], { at, policy }: When): Handled {
  if (happened.length === 0) return before;
  let current = folded(before, happened);
  for (const id of new Set(happened.map((event) => event.id)))
    for (const follows of [lapsing, lowering, closing]) {
      const alert = current.book.get(id);
      if (alert === undefined) break;
      const more = follows(alert, at, policy).map((happening): AlertEvent => ({ id, at, ...happening }));
      current = folded(current, more);
    }
  return current;
}

const folded = ({ book, events }: Handled, more: readonly AlertEvent[]): Handled =>
  more.length === 0 ? { book, events } : { book: more.reduce(evolve, book), events: [...events, ...more] };

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

const hasReached = ({ duties }: Alert, level: number, { at, policy }: When): boolean =>
  duties.some((owed) => {
    const reached = isOwed(owed) ? reachesLevelAt(owed, level, policy) : undefined;
    return reached !== undefined && reached <= at;
  });

/** What is shelved stays until its time is over, so that the same occasion over again stays shelved. */
function closing({ life, aside, shelving, duties }: Alert): readonly AlertHappening[] {
  const isOver = aside === undefined ? life === 'normal' : !isActive(life) && !isLatched(life);
  return isOver && shelving === undefined && !duties.some(isOwed) ? [{ type: 'alert-closed' }] : [];
}
