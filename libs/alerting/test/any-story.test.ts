import { fc, test } from '@fast-check/vitest';
import type { AlertEvent, Subject } from '@tidemark/alerting';
import {
  defaultPolicy,
  evolve,
  handle,
  initialBook,
  nextDeadline,
  passTime,
  priorityNow,
  stateOf,
} from '@tidemark/alerting';
import type { AlertClass } from '@tidemark/words';
import { alertClasses, alertStates, callees, dispatchStages, dispatchUnits } from '@tidemark/words';
import { describe, expect } from 'vitest';
import type { Asked } from './book.ts';
import { at, story, subject } from './book.ts';

const keys = ['signal-1', 'signal-2', 'finding-1', 'finding-2', 'finding-3'];
const seconds = fc.double({ min: 0, max: 40_000, noNaN: true });
const key = fc.constantFrom(...keys);
const choice = fc.oneof(
  fc.constant({}),
  key.map((name) => ({ name })),
);
const by = 'M. Berg';

const subjectOf = (name: string, alertClass: AlertClass): Subject =>
  subject(alertClass, { key: name, name, latches: alertClass === 'alarm' });

const aside = fc.constantFrom(
  undefined,
  { as: 'suppressed', why: 'a release explains it' } as const,
  { as: 'out-of-service', why: 'a test announced it' } as const,
);

/** Anything that may be asked of a book, in any order. */
const step: fc.Arbitrary<Asked> = fc
  .tuple(
    seconds,
    fc.oneof(
      fc.tuple(key, fc.constantFrom(...alertClasses), aside).map(([name, of, why]): Asked[1] => ({
        type: 'condition-began',
        id: `${name} alert`,
        subject: subjectOf(name, of),
        aside: why,
      })),
      key.map((name): Asked[1] => ({ type: 'condition-ended', key: name })),
      fc
        .tuple(key, fc.constantFrom(...alertClasses))
        .map(([name, of]): Asked[1] => ({ type: 'condition-changed', key: name, class: of })),
      key.map((name): Asked[1] => ({ type: 'latch-released', key: name })),
      key.map((name): Asked[1] => ({
        type: 'set-aside',
        key: name,
        aside: { as: 'out-of-service', why: 'planned work' },
      })),
      key.map((name): Asked[1] => ({ type: 'take-back', key: name })),
      choice.map((which): Asked[1] => ({ type: 'acknowledge', choice: which, by })),
      fc
        .tuple(choice, fc.integer({ min: 1, max: 90_000 }))
        .map(([which, for_s]): Asked[1] => ({ type: 'shelve', choice: which, for_s, reason: 'noise', by })),
      choice.map((which): Asked[1] => ({ type: 'unshelve', choice: which, by })),
      fc.tuple(choice, fc.constantFrom(...callees), fc.boolean()).map(([which, to, reached]): Asked[1] => ({
        type: 'put-on-record',
        deed: { kind: 'call', to, reached },
        choice: which,
        by,
      })),
      fc
        .tuple(choice, fc.constantFrom(...dispatchUnits), fc.constantFrom(...dispatchStages))
        .map(([which, unit, stage]): Asked[1] => ({
          type: 'put-on-record',
          deed: { kind: 'dispatch', unit, stage },
          choice: which,
          by,
        })),
    ),
  )
  .map(([when, asked]): Asked => [when, asked]);

const anyStory = fc.array(step, { maxLength: 50 }).map((asked) => asked.toSorted(([one], [other]) => one - other));

const runs = { numRuns: 300, seed: 20_261_125 };

describe('any story of alerts', () => {
  test.prop([anyStory], runs)('keeps to the states of the standard, and shelves no emergency', (asked) => {
    let book = initialBook;
    for (const [when, rest] of asked) {
      book = handle(book, { ...rest, at: at(when) }, defaultPolicy).book;
      for (const alert of book.values()) {
        expect(alertStates).toContain(stateOf(alert));
        if (stateOf(alert) === 'shelved') expect(priorityNow(alert)).not.toBe('emergency');
        if (alert.shelving !== undefined) {
          expect(alert.shelving.until).toBeGreaterThan(at(when));
          const limit_s = Math.max(...Object.values(defaultPolicy.shelving_s));
          expect(alert.shelving.until - alert.shelving.since).toBeLessThanOrEqual(limit_s * 1_000);
        }
      }
      const next = nextDeadline(book, defaultPolicy);
      expect(next === undefined || next > at(when)).toBe(true);
    }
  });

  test.prop([anyStory], runs)('is all in its events', (asked) => {
    const { book, events } = story(asked, 60_000);

    expect(events.reduce(evolve, initialBook)).toEqual(book);
  });

  test.prop([anyStory, fc.array(seconds, { maxLength: 40 })], runs)(
    'is told alike in whatever slices the clock is asked',
    (asked, looks) => {
      let book = initialBook;
      const events: AlertEvent[] = [];
      const all = [...asked, ...looks.map((when) => [when, undefined] as const)].toSorted(
        ([one], [other]) => one - other,
      );
      for (const [when, rest] of all) {
        const handled =
          rest === undefined
            ? passTime(book, at(when), defaultPolicy)
            : handle(book, { ...rest, at: at(when) }, defaultPolicy);
        book = handled.book;
        events.push(...handled.events);
      }
      events.push(...passTime(book, at(60_000), defaultPolicy).events);

      expect(events).toEqual(story(asked, 60_000).events);
    },
  );

  test.prop([anyStory], runs)('never hides a new occasion or a graver one on the shelf', (asked) => {
    let book = initialBook;
    for (const [when, rest] of asked) {
      const handled = handle(book, { ...rest, at: at(when) }, defaultPolicy);
      for (const { id, ...event } of handled.events) {
        const asksAnew =
          (event.type === 'alert-raised' && event.occasion === 'new' && event.aside === undefined) ||
          (event.type === 'alert-reclassed' && event.graver) ||
          event.type === 'alert-escalated';
        if (asksAnew) expect(handled.book.get(id)?.shelving).toBeUndefined();
      }
      book = handled.book;
    }
  });

  test.prop([anyStory], runs)('forgets no duty: each is fulfilled, lapsed, or still owed', (asked) => {
    const { events, book } = story(asked, 60_000);
    const closed = new Map<string, Set<string>>();
    for (const { id, ...event } of events) {
      const owed = closed.get(id) ?? new Set<string>();
      if (event.type === 'alert-raised')
        for (const { duty, fulfilled } of event.duties) if (fulfilled === undefined) owed.add(duty);
      if (event.type === 'duty-owed') owed.add(event.owed.duty);
      if (event.type === 'duty-fulfilled' || event.type === 'duty-lapsed') owed.delete(event.duty);
      if (event.type === 'alert-closed') expect([...owed]).toEqual([]);
      closed.set(id, owed);
    }
    for (const [id, owed] of closed)
      for (const duty of owed) expect(book.get(id)?.duties.map((each) => each.duty)).toContain(duty);
  });
});
