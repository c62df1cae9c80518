import type { Alert, AlertBook, AlertCommand, AlertEvent, AlertPolicy, Subject } from '@tidemark/alerting';
import { defaultPolicy, handle, initialBook, passTime } from '@tidemark/alerting';
import type { Instant } from '@tidemark/kernel';
import { instant } from '@tidemark/kernel';
import type { AlertClass } from '@tidemark/words';

/** 2026-03-02T10:00:00Z, as in the checks of FACTS 1.35 to 1.37. */
export const begin = instant(Date.UTC(2026, 2, 2, 10));

/** A moment of a story, s from its beginning. */
export const at = (seconds: number): Instant => instant(begin + Math.round(seconds * 1_000));

export const subject = (alertClass: AlertClass, more: Partial<Subject> = {}): Subject => ({
  key: alertClass,
  class: alertClass,
  name: `${alertClass}-name`,
  label: alertClass,
  latches: false,
  ...more,
});

type Step<Command = AlertCommand> = Command extends AlertCommand ? Omit<Command, 'at'> : never;

/** What is asked, s after the beginning. */
export type Asked = readonly [number, Step];

export const on = (seconds: number, of: Subject, more: Partial<Pick<Began, 'aside'>> = {}): Asked => [
  seconds,
  { type: 'condition-began', id: `${of.key}@${seconds}`, subject: of, ...more },
];
type Began = Extract<AlertCommand, { type: 'condition-began' }>;

export const off = (seconds: number, key: string): Asked => [seconds, { type: 'condition-ended', key }];
export const acknowledge = (seconds: number): Asked => [seconds, { type: 'acknowledge', choice: {}, by: 'M. Berg' }];
export const shelve = (seconds: number, for_s: number): Asked => [
  seconds,
  { type: 'shelve', choice: {}, for_s, reason: 'The panel is being set', by: 'M. Berg' },
];
export const call = (seconds: number, to: CallTo, reached = true): Asked => [
  seconds,
  { type: 'put-on-record', deed: { kind: 'call', to, reached }, choice: {}, by: 'M. Berg' },
];
type CallTo = 'fire-service' | 'subscriber' | 'designated-person' | 'authority';

/** What came of it. */
export interface Story {
  readonly book: AlertBook;
  readonly events: readonly AlertEvent[];
  readonly alerts: readonly Alert[];
}

/** Asks it all in order and lets the clock run on to `until`, s. */
export function story(asked: readonly Asked[], until = 0, policy: AlertPolicy = defaultPolicy): Story {
  let book = initialBook;
  const events: AlertEvent[] = [];
  const take = (handled: { readonly book: AlertBook; readonly events: readonly AlertEvent[] }): void => {
    book = handled.book;
    events.push(...handled.events);
  };
  for (const [seconds, step] of asked) take(handle(book, { ...step, at: at(seconds) }, policy));
  if (until > 0) take(passTime(book, at(until), policy));
  return { book, events, alerts: [...book.values()] };
}

/** The only alert of a story. */
export function only(asked: readonly Asked[], until = 0, policy?: AlertPolicy): Alert | undefined {
  const { alerts } = story(asked, until, policy);
  if (alerts.length > 1) throw new Error(`expected one alert, not ${alerts.length}`);
  return alerts[0];
}
