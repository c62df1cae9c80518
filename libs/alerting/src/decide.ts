import type { Instant } from '@tidemark/kernel';
import { instant, unreachable } from '@tidemark/kernel';
import type { Result } from '@tidemark/kernel';
import { fail, ok } from '@tidemark/kernel';
import type { AlertClass } from '@tidemark/words';
import type { Alert, Aside, OwedDuty, Subject } from './alert.ts';
import { isOwed, priorityNow } from './alert.ts';
import type { AlertEvent, AlertHappening } from './alert-event.ts';
import { isActive, isLatched, isUnanswered } from './alert-life.ts';
import type { AlertBook } from './evolve.ts';
import type { Deed } from './owing.ts';
import { fulfilledBy, isOpen, lapsesBy, owedAgain, owedFrom } from './owing.ts';
import type { AlertPolicy } from './policy.ts';
import { isMoreUrgent, priorityOf } from './policy.ts';

/** Which alerts are meant: every one of a name, or one by its id; neither means all. */
export interface AlertChoice {
  readonly name?: string | undefined;
  readonly id?: string | undefined;
}

/** What is asked of a book. Conditions come from what is known of the riser, the rest from people. */
export type AlertCommand = { readonly at: Instant } & (
  | {
      readonly type: 'condition-began';
      readonly id: string;
      readonly subject: Subject;
      readonly aside?: Aside | undefined;
    }
  | { readonly type: 'condition-changed'; readonly key: string; readonly class: AlertClass }
  | { readonly type: 'condition-ended'; readonly key: string }
  | { readonly type: 'latch-released'; readonly key: string }
  | { readonly type: 'set-aside'; readonly key: string; readonly aside: Aside }
  | { readonly type: 'take-back'; readonly key: string }
  | { readonly type: 'acknowledge'; readonly choice: AlertChoice; readonly by: string }
  | {
      readonly type: 'shelve';
      readonly choice: AlertChoice;
      readonly for_s: number;
      readonly reason: string;
      readonly by: string;
    }
  | { readonly type: 'unshelve'; readonly choice: AlertChoice; readonly by: string }
  | { readonly type: 'put-on-record'; readonly deed: Deed; readonly choice: AlertChoice; readonly by: string }
);

/** What follows from a command. Pure and total: what means nothing to the book gives nothing. */
export function decide(book: AlertBook, command: AlertCommand, policy: AlertPolicy): readonly AlertEvent[] {
  const { at } = command;
  const each = (alerts: readonly Alert[], say: (alert: Alert) => readonly AlertHappening[]): readonly AlertEvent[] =>
    alerts.flatMap((alert) => say(alert).map((happening) => ({ id: alert.id, at, ...happening })));
  switch (command.type) {
    case 'condition-began':
      return begins(book, command, policy);
    case 'condition-changed':
      return each(ofKey(book, command.key), (alert) => reclass(alert, { class: command.class, at, policy }));
    case 'condition-ended':
      return each(ofKey(book, command.key), ({ life }) => (isActive(life) ? [{ type: 'alert-returned' }] : []));
    case 'latch-released':
      return each(ofKey(book, command.key), ({ life }) => (isLatched(life) ? [{ type: 'alert-latch-released' }] : []));
    case 'set-aside':
      return each(ofKey(book, command.key), (alert) => setAside(alert, command.aside));
    case 'take-back':
      return each(ofKey(book, command.key), (alert) =>
        alert.aside === undefined ? [] : [{ type: 'alert-taken-back' }, ...owedAnew(alert, at, policy)],
      );
    case 'acknowledge':
      return each(chosen(book, command.choice), (alert) => acknowledge(alert, command.by));
    case 'shelve':
      return each(chosen(book, command.choice), (alert) => shelve(alert, command, policy));
    case 'unshelve':
      return each(chosen(book, command.choice), (alert) =>
        alert.shelving === undefined
          ? []
          : [{ type: 'alert-unshelved', why: 'by-person', by: command.by }, ...answerOwed(alert, at, policy)],
      );
    case 'put-on-record':
      return each(chosen(book, command.choice), (alert) => recorded(alert, command));
    default:
      return unreachable(command);
  }
}

/** The alerts that a choice names. */
export const chosen = (book: AlertBook, { name, id }: AlertChoice): readonly Alert[] =>
  [...book.values()].filter(
    (alert) => (name === undefined || alert.name === name) && (id === undefined || alert.id === id),
  );

const ofKey = (book: AlertBook, key: string): readonly Alert[] =>
  [...book.values()].filter((alert) => alert.key === key);

type Began = Extract<AlertCommand, { type: 'condition-began' }>;

/** A condition begins: anew, or for an alert that nobody is done with yet. */
function begins(book: AlertBook, command: Began, policy: AlertPolicy): readonly AlertEvent[] {
  const { subject, at, aside } = command;
  const own = ofKey(book, subject.key)[0];
  if (own !== undefined && isActive(own.life)) return reclassed(own, command, policy);
  const known = own ?? surplus(book, subject);
  const occasion = known === undefined ? 'new' : occasionOf(known, command, policy);
  const fresh = aside === undefined ? owedFrom(subject.class, at, policy) : [];
  const duties = known === undefined ? fresh : owedAgain(known, fresh, occasion);
  const raised: AlertHappening = {
    type: 'alert-raised',
    subject,
    occasion,
    duties,
    ...(aside === undefined ? {} : { aside }),
  };
  const unshelved: readonly AlertHappening[] =
    known?.shelving !== undefined && occasion === 'new' ? [{ type: 'alert-unshelved', why: 'new-occasion' }] : [];
  return [...unshelved, raised].map((happening) => ({ id: known?.id ?? command.id, at, ...happening }));
}

/** How many alerts of one name may wait for an answer though their condition is gone. A choice of this project. */
const waitingPerName = 4;

/**
 * The oldest of too many alerts of one name whose condition is gone: the new condition takes it on, so that what nobody
 * answers does not pile up without end. Signals keep their own, as each point has one at most.
 */
function surplus(book: AlertBook, { name, class: alertClass }: Subject): Alert | undefined {
  if (isSignalClass(alertClass)) return undefined;
  const waiting = chosen(book, { name }).filter(
    ({ life, aside, class: each }) => !isActive(life) && aside === undefined && !isSignalClass(each),
  );
  return waiting.length < waitingPerName
    ? undefined
    : waiting.toSorted((one, other) => one.raisedAt - other.raisedAt)[0];
}

const isSignalClass = (alertClass: AlertClass): boolean =>
  alertClass === 'alarm' || alertClass === 'supervisory' || alertClass === 'trouble';

/** The same thing again within the retrigger time is the same occasion. */
function occasionOf(known: Alert, { subject, at }: Began, { retrigger_s }: AlertPolicy): 'new' | 'same' {
  if (known.key !== subject.key || known.returnedAt === undefined) return 'new';
  return at - known.returnedAt <= retrigger_s * 1_000 ? 'same' : 'new';
}

const reclassed = (own: Alert, { subject, at }: Began, policy: AlertPolicy): readonly AlertEvent[] =>
  reclass(own, { class: subject.class, at, policy }).map((happening) => ({ id: own.id, at, ...happening }));

interface Reclassing {
  readonly class: AlertClass;
  readonly at: Instant;
  readonly policy: AlertPolicy;
}

/** A graver class ends a shelving and asks anew; deadlines already running stay where they come sooner. */
function reclass(alert: Alert, { class: to, at, policy }: Reclassing): readonly AlertHappening[] {
  if (to === alert.class) return [];
  if (!isMoreUrgent(priorityOf(to), priorityOf(alert.class)))
    return [{ type: 'alert-reclassed', class: to, graver: false }];
  const soonest = owedFrom(to, at, policy).flatMap((fresh): readonly OwedDuty[] => {
    const running = alert.duties.find(({ duty }) => duty === fresh.duty);
    return running !== undefined && isOwed(running) && running.dueAt <= fresh.dueAt ? [] : [fresh];
  });
  return [
    ...(alert.shelving === undefined ? [] : [{ type: 'alert-unshelved', why: 'graver' } as const]),
    { type: 'alert-reclassed', class: to, graver: true },
    ...soonest.map((owed) => ({ type: 'duty-owed', owed }) as const),
  ];
}

/** What was owed because nobody knew better lapses; calls that were due already stay due. */
function setAside(alert: Alert, aside: Aside): readonly AlertHappening[] {
  if (alert.aside?.as === aside.as) return [];
  const lapsed = alert.duties.filter(
    (owed) => isOwed(owed) && (owed.duty === 'acknowledge' || owed.lapses !== 'never'),
  );
  return [{ type: 'alert-set-aside', aside }, ...lapsed.map(({ duty }) => ({ type: 'duty-lapsed', duty }) as const)];
}

/** An alert that is seen afresh owes what its class owes, from now on. */
function owedAnew(alert: Alert, at: Instant, policy: AlertPolicy): readonly AlertHappening[] {
  if (!isActive(alert.life) && !isLatched(alert.life)) return [];
  const running = alert.duties.filter(isOwed).map(({ duty }) => duty);
  return owedFrom(alert.class, at, policy)
    .filter(({ duty }) => !running.includes(duty))
    .map((owed) => ({ type: 'duty-owed', owed }));
}

/** An alert that alarms anew owes its answer anew. */
export const answerOwed = (alert: Alert, at: Instant, policy: AlertPolicy): readonly AlertHappening[] =>
  owedAnew(alert, at, policy).filter((each) => each.type === 'duty-owed' && each.owed.duty === 'acknowledge');

function acknowledge(alert: Alert, by: string): readonly AlertHappening[] {
  if (alert.aside !== undefined || alert.shelving !== undefined || !isUnanswered(alert.life)) return [];
  return [{ type: 'alert-acknowledged', by }, ...answered(alert, by)];
}

const answered = ({ duties }: Alert, by: string): readonly AlertHappening[] =>
  duties.some((owed) => owed.duty === 'acknowledge' && isOwed(owed))
    ? [{ type: 'duty-fulfilled', duty: 'acknowledge', by }]
    : [];

/**
 * How long an alert may be shelved at most, s, or why it may not be at all. Asking again never extends a shelving beyond
 * its limit, counted from its beginning.
 */
export function shelvingLimit_s(alert: Alert, policy: AlertPolicy): Result<number, 'may-not-be-shelved' | 'set-aside'> {
  if (alert.aside !== undefined) return fail('set-aside');
  const limit_s = policy.shelving_s[priorityNow(alert)];
  return limit_s > 0 ? ok(limit_s) : fail('may-not-be-shelved');
}

function shelve(
  alert: Alert,
  command: Extract<AlertCommand, { type: 'shelve' }>,
  policy: AlertPolicy,
): readonly AlertHappening[] {
  const limit = shelvingLimit_s(alert, policy);
  if (!limit.ok) return [];
  const { at, by, for_s, reason } = command;
  const since = alert.shelving?.since ?? at;
  const until = instant(Math.min(at + Math.round(for_s * 1_000), since + limit.value * 1_000));
  if (until <= at) return [];
  return [{ type: 'alert-shelved', by, until, reason }, ...answered(alert, by)];
}

function recorded(
  alert: Alert,
  { at, deed, by }: Extract<AlertCommand, { type: 'put-on-record' }>,
): readonly AlertHappening[] {
  const named = (duties: readonly string[]) =>
    alert.duties.filter((owed) => duties.includes(owed.duty) && isOpen(owed, at));
  return [
    ...named(fulfilledBy(deed)).map(({ duty }) => ({ type: 'duty-fulfilled', duty, by }) as const),
    ...named(lapsesBy(deed, alert)).map(({ duty }) => ({ type: 'duty-lapsed', duty }) as const),
  ];
}
