import type { Life, LifeEvent } from '@tidemark/alerting';
import { nextLife, stateOf } from '@tidemark/alerting';
import { describe, expect, it } from 'vitest';
import { acknowledge, off, on, only, shelve, story, subject } from './book.ts';

/** ANSI/ISA-18.2-2016 / IEC 62682, states A to F (FACTS 6.01 to 6.08, 6.12; arrows from memory). */
const plain: readonly (readonly [Life, LifeEvent, Life])[] = [
  ['normal', 'condition-on', 'unacknowledged'],
  ['normal', 'acknowledge', 'normal'],
  ['unacknowledged', 'acknowledge', 'acknowledged'],
  ['unacknowledged', 'condition-off', 'returned-unacknowledged'],
  ['unacknowledged', 'latch-released', 'unacknowledged'],
  ['acknowledged', 'condition-off', 'normal'],
  ['acknowledged', 'acknowledge', 'acknowledged'],
  ['acknowledged', 'latch-released', 'acknowledged'],
  ['returned-unacknowledged', 'acknowledge', 'normal'],
  ['returned-unacknowledged', 'condition-on', 'unacknowledged'],
];

const latching: readonly (readonly [Life, LifeEvent, Life])[] = [
  ['unacknowledged', 'condition-off', 'latched-unacknowledged'],
  ['acknowledged', 'condition-off', 'latched-acknowledged'],
  ['latched-unacknowledged', 'acknowledge', 'latched-acknowledged'],
  ['latched-acknowledged', 'latch-released', 'normal'],
  ['latched-acknowledged', 'condition-on', 'unacknowledged'],
  ['latched-unacknowledged', 'condition-on', 'unacknowledged'],
  ['latched-unacknowledged', 'latch-released', 'returned-unacknowledged'],
  ['unacknowledged', 'latch-released', 'unacknowledged'],
];

describe('the life of an alert', () => {
  it.each(plain)('that does not latch: %s, on %s, becomes %s', (before, event, after) => {
    expect(nextLife(before, event, false)).toBe(after);
  });

  it.each(latching)('that latches: %s, on %s, becomes %s', (before, event, after) => {
    expect(nextLife(before, event, true)).toBe(after);
  });
});

const trouble = subject('trouble');
const advisory = subject('advisory');
const planned = { as: 'out-of-service', why: 'planned work' } as const;

describe('an alert that is set aside', () => {
  it('alarms anew when its time on the shelf is over and it is still active (FACTS 6.09: 30 min)', () => {
    const asked = [on(0, advisory), acknowledge(10), shelve(20, 1_800)];

    expect(stateOf(only(asked, 1_819)!)).toBe('shelved');
    expect(stateOf(only(asked, 1_820)!)).toBe('unacknowledged');
  });

  it('is over when its time on the shelf is and the condition is gone (FACTS 6.09)', () => {
    const asked = [on(0, advisory), shelve(20, 1_800), off(600, 'advisory')];

    expect(stateOf(only(asked, 1_819)!)).toBe('shelved');
    expect(story(asked, 1_820).alerts).toEqual([]);
  });

  it('is evaluated afresh when it comes back into service (FACTS 6.11)', () => {
    const back = [on(0, trouble, { aside: planned }), [3_600, { type: 'take-back', key: 'trouble' }]] as const;

    expect(stateOf(only(back.slice(0, 1), 3_000)!)).toBe('out-of-service');
    expect(stateOf(only(back)!)).toBe('unacknowledged');
    expect(only(back)!.duties.map(({ duty }) => duty)).toContain('call-designated-person');
  });

  it('owes nothing that began while it was set aside, and what was due before it stays due', () => {
    expect(only([on(0, trouble, { aside: planned })], 90_000)!).toMatchObject({ duties: [], level: 0 });
    const aside = only([on(0, trouble), [60, { type: 'set-aside', key: 'trouble', aside: planned }]], 290)!;
    expect(aside.duties.filter(({ lapsedAt }) => lapsedAt === undefined).map(({ duty }) => duty)).toEqual([
      'call-designated-person',
    ]);
  });

  it('leaves nothing behind when its condition ends there', () => {
    expect(story([on(0, trouble, { aside: planned }), off(60, 'trouble')]).alerts).toEqual([]);
  });
});

describe('a condition that comes back', () => {
  it('within a minute is the same occasion: a shelved alert stays shelved', () => {
    const again = only([on(0, trouble), shelve(10, 1_800), off(100, 'trouble'), on(160, trouble)])!;

    expect([stateOf(again), again.activations, again.raisedAt]).toEqual([
      'shelved',
      2,
      only([on(0, trouble)])!.raisedAt,
    ]);
  });

  it('later is a new occasion, and no shelf hides it', () => {
    const again = only([on(0, trouble), shelve(10, 1_800), off(100, 'trouble'), on(160.001, trouble)])!;

    expect([stateOf(again), again.shelving]).toEqual(['unacknowledged', undefined]);
  });
});

describe('alerts of one name that nobody answers', () => {
  it('do not pile up: the fifth that waits takes on the oldest', () => {
    const asked = Array.from({ length: 9 }, (_each, index) => {
      const of = subject('advisory', { key: `occasion-${index}`, name: 'clock-skew' });
      return [on(index * 100, of), off(index * 100 + 50, of.key)];
    }).flat();

    expect(story(asked).alerts.map(({ key }) => key)).toEqual(['occasion-8', 'occasion-5', 'occasion-6', 'occasion-7']);
  });
});
