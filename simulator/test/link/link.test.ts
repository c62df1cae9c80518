import { formatInstant, instant } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import { createLink, mendLink, nextArrival_s, powerLink, receive, say, troubleLink } from '../../src/index.ts';
import type { LinkTrouble, LinkTroubleKind } from '../../src/index.ts';
import { begin, hear, inShort, plain, series, signalsOf, turned } from './heard.ts';

const trouble = (kind: LinkTroubleKind, from_s: number, until_s = Infinity): LinkTrouble => ({
  id: 'trouble',
  from_s,
  until_s,
  ...kind,
});

describe('a sound link', () => {
  it('announces the panel and delivers everything in its order, numbered from one', () => {
    const { deliveries, fates } = hear([turned(10, 'heat'), turned(12, 'waterflow')]);

    expect(deliveries.map(inShort)).toEqual(['up 0 > 0.2', '1 heat active 10 > 10.2', '2 waterflow active 12 > 12.2']);
    expect(fates).toEqual(['sent', 'sent']);
  });

  it('says who it is, and its own time', () => {
    const [, delivery] = hear([turned(10, 'heat')]).deliveries;

    expect(delivery).toMatchObject({
      event: {
        source: '/quayside-cold-store/panel-2',
        subject: 'deluge-1',
        time: '2026-03-02T08:00:10.000Z',
        sequence: '0000000001',
        data: { signal: 'heat', state: 'active', point: 2 },
      },
    });
  });

  it('keeps the order of messages whose times of travel would turn it', () => {
    const said = Array.from({ length: 40 }, (_, index) => turned(10 + index / 100, 'heat', index % 2 === 0));
    const { deliveries } = hear(said, [], { setup: { latency: { base_s: 0, spread_s: 5 } } });

    expect(signalsOf(deliveries).map(({ event }) => Number(event.sequence))).toEqual(said.map((_, index) => index + 1));
  });

  it('gives other identities in another run', () => {
    const ids = (seed: number) =>
      signalsOf(hear(series(5), [], { setup: { seed } }).deliveries).map(({ event }) => event.id);

    expect(new Set([...ids(1), ...ids(2)]).size).toBe(20);
  });

  it('bears the marks of a panel that stamps ahead or numbers twice', () => {
    const said = [turned(10, 'heat'), { ...turned(20, 'heat', false), clockAhead_s: 120, numberAgain: true as const }];
    const events = signalsOf(hear(said).deliveries).map(({ event }) => event);

    expect(new Set(events.map(({ id }) => id)).size).toBe(2);
    expect(events.map(({ sequence, time }) => [sequence, time])).toEqual([
      ['0000000001', '2026-03-02T08:00:10.000Z'],
      ['0000000001', '2026-03-02T08:02:20.000Z'],
    ]);
  });
});

describe('a path that is gone', () => {
  it('uses up the numbers of what it drops, and is told by the will and by a new session', () => {
    const outage = trouble({ kind: 'outage', meanwhile: 'dropped' }, 11, 200);
    const { deliveries, fates } = hear(
      [turned(10, 'heat'), turned(20, 'waterflow'), turned(300, 'heat', false)],
      [outage],
    );

    expect(fates).toEqual(['sent', 'dropped', 'sent']);
    expect(deliveries.map(inShort)).toEqual([
      'up 0 > 0.2',
      '1 heat active 10 > 10.2',
      'down 101 > 101.2',
      'up 200 > 200.2',
      '3 heat restored 300 > 300.2',
    ]);
    const sessions = deliveries.flatMap((each) => (each.topic === 'link' ? [each.message.session] : []));
    expect(sessions[0]).toBe(sessions[1]);
    expect(sessions[2]).not.toBe(sessions[1]);
  });

  it('is not noticed when it is back before the keep-alive is over', () => {
    const outage = trouble({ kind: 'outage', meanwhile: 'dropped' }, 11, 90);

    expect(hear([turned(20, 'heat')], [outage]).deliveries.map(inShort)).toEqual(['up 0 > 0.2']);
  });

  it('brings what was stored in a burst, with the times of the panel, before anything newer', () => {
    const outage = trouble({ kind: 'outage', meanwhile: 'stored' }, 11, 60);
    const { deliveries, fates } = hear(
      [turned(20, 'heat'), turned(30, 'waterflow'), turned(60, 'heat', false)],
      [outage],
    );

    expect(fates).toEqual(['stored', 'stored', 'sent']);
    expect(deliveries.map(inShort)).toEqual([
      'up 0 > 0.2',
      '1 heat active 20 > 60.2',
      '2 waterflow active 30 > 60.25',
      '3 heat restored 60 > 60.25',
    ]);
    expect(signalsOf(deliveries).map(({ event }) => event.time)).toEqual([
      '2026-03-02T08:00:20.000Z',
      '2026-03-02T08:00:30.000Z',
      '2026-03-02T08:01:00.000Z',
    ]);
  });

  it('drops what no longer fits into the store', () => {
    const outage = trouble({ kind: 'outage', meanwhile: 'stored' }, 5, 100);
    const { deliveries, fates } = hear(series(2), [outage], { setup: { storeLimit: 3 } });

    expect(fates).toEqual(['stored', 'stored', 'stored', 'dropped']);
    expect(signalsOf(deliveries)).toHaveLength(3);
  });

  it('keeps what is stored until somebody mends it', () => {
    const gone = troubleLink(createLink(plain), trouble({ kind: 'outage', meanwhile: 'stored' }, 5));
    const said = say(gone, turned(10, 'heat')).link;
    const later = receive(said, 1_000);
    const mended = receive(mendLink(later.link, 'trouble', 1_200), 2_000);

    expect(later.deliveries.map(inShort)).toEqual(['up 0 > 0.2', 'down 95 > 95.2']);
    expect(mended.deliveries.map(inShort)).toEqual(['up 1200 > 1200.2', '1 heat active 10 > 1200.2']);
  });

  it('starts the numbers anew when the panel itself was without power', () => {
    const before = say(createLink(plain), turned(10, 'heat')).link;
    const back = powerLink(powerLink(before, 20, false), 30, true);
    const { deliveries } = receive(say(back, turned(40, 'heat', false)).link, 100);

    expect(deliveries.map(inShort)).toEqual([
      'up 0 > 0.2',
      '1 heat active 10 > 10.2',
      'up 30 > 30.2',
      '1 heat restored 40 > 40.2',
    ]);
    const ids = signalsOf(deliveries).map(({ event }) => event.id);
    expect(new Set(ids).size).toBe(2);
  });

  it('is announced at the beginning only when there is a path', () => {
    const outage = trouble({ kind: 'outage', meanwhile: 'stored' }, 0, 30);

    expect(hear([turned(10, 'heat')], [outage]).deliveries.map(inShort)).toEqual([
      'up 30 > 30.2',
      '1 heat active 10 > 30.2',
    ]);
  });
});

describe('a disturbed link', () => {
  it('drops each third signal', () => {
    const { fates } = hear(series(3), [trouble({ kind: 'drop', which: { every: 3 } }, 0)]);

    expect(fates).toEqual(['sent', 'sent', 'dropped', 'sent', 'sent', 'dropped']);
  });

  it('drops about the share of signals it is told', () => {
    const { fates } = hear(series(1_000), [trouble({ kind: 'drop', which: { share: 0.3 } }, 0)]);

    // 600 of 2000, give or take four deviations of a binomial draw.
    expect(Math.abs(fates.filter((fate) => fate === 'dropped').length - 600)).toBeLessThan(82);
  });

  it('delivers the same message again', () => {
    const again = trouble({ kind: 'duplicate', which: { every: 1 }, after_s: 3, copies: 2 }, 0, 11);
    const { deliveries } = hear([turned(10, 'heat'), turned(11, 'waterflow')], [again]);

    expect(deliveries.slice(1).map(inShort)).toEqual([
      '1 heat active 10 > 10.2',
      '2 waterflow active 11 > 11.2',
      'again 1 heat active 10 > 13.2',
      'again 1 heat active 10 > 16.2',
    ]);
    const [first, , copy] = signalsOf(deliveries);
    expect(copy?.event).toEqual(first?.event);
  });

  it('lets a message be overtaken', () => {
    const held = trouble({ kind: 'reorder', which: { every: 2 }, by_s: 5 }, 0);
    const { deliveries } = hear([turned(10, 'heat'), turned(11, 'waterflow'), turned(12, 'heat', false)], [held]);

    expect(deliveries.slice(1).map(inShort)).toEqual([
      '1 heat active 10 > 10.2',
      '3 heat restored 12 > 12.2',
      '2 waterflow active 11 > 16.2',
    ]);
  });

  it('delays in order, and what comes after waits its turn', () => {
    const slow = trouble({ kind: 'delay', by_s: 30 }, 0, 11);
    const { deliveries } = hear([turned(10, 'heat'), turned(11, 'waterflow')], [slow]);

    expect(deliveries.map(inShort)).toEqual(['up 0 > 30.2', '1 heat active 10 > 40.2', '2 waterflow active 11 > 40.2']);
  });

  it('does not send restorals, and takes no number for them', () => {
    const { deliveries, fates } = hear(series(2), [trouble({ kind: 'restorals-withheld' }, 0)]);

    expect(fates).toEqual(['sent', 'withheld', 'sent', 'withheld']);
    expect(signalsOf(deliveries).map(({ event }) => Number(event.sequence))).toEqual([1, 2]);
  });

  it('suppresses what repeats itself until it has been calm', () => {
    const calm = [turned(100, 'waterflow'), turned(101, 'waterflow', false)];
    const other = turned(14.2, 'heat');
    const said = [...series(6), other, ...calm].toSorted((one, next) => one.at_s - next.at_s);
    const { fates } = hear(said, [trouble({ kind: 'repeats-withheld', after: 3, within_s: 60 }, 0)]);

    const sent = said.filter((_, index) => fates[index] === 'sent').map(({ at_s }) => at_s);
    expect(sent).toEqual([10, 10.5, 11, 11.5, 12, 12.5, 14.2, 100, 101]);
  });
});

describe("the panel's clock", () => {
  const times = (
    clock: { readonly offset_s?: number; readonly drift_s_per_day?: number },
    from_s: number,
    until_s?: number,
  ) =>
    signalsOf(hear(series(3), [trouble({ kind: 'clock', ...clock }, from_s, until_s)]).deliveries)
      .filter((_, index) => index % 2 === 0)
      .map(({ event, received_s }) => [event.time, received_s]);

  it('that is behind stamps what it says, and changes no receipt', () => {
    expect(times({ offset_s: -120 }, 11)).toEqual([
      ['2026-03-02T08:00:10.000Z', 10.2],
      ['2026-03-02T07:58:11.000Z', 11.2],
      ['2026-03-02T07:58:12.000Z', 12.2],
    ]);
  });

  it('that drifts is off by its rate, until it is set right', () => {
    // 86.4 s a day is a millisecond a second.
    const drift = { drift_s_per_day: 86.4 };
    expect(times(drift, 0, 12)).toEqual([
      ['2026-03-02T08:00:10.010Z', 10.2],
      ['2026-03-02T08:00:11.011Z', 11.2],
      ['2026-03-02T08:00:12.000Z', 12.2],
    ]);
  });
});

describe('asking when the next message arrives', () => {
  it('looks ahead over a burst that time alone will bring', () => {
    const outage = trouble({ kind: 'outage', meanwhile: 'stored' }, 5, 60);
    const { link } = receive(createLink(plain, { troubles: [outage] }), 4);
    const said = say(link, turned(10, 'heat')).link;

    expect(nextArrival_s(link)).toBeUndefined();
    expect(nextArrival_s(said)).toBe(60.2);
  });
});

describe('what is refused', () => {
  it.each([
    [trouble({ kind: 'drop', which: { share: 1.5 } }, 0), 'a share is between 0 and 1'],
    [trouble({ kind: 'drop', which: { every: 0 } }, 0), 'each n-th is a whole number'],
    [trouble({ kind: 'delay', by_s: -1 }, 0), 'a message arrives after it was sent'],
    [trouble({ kind: 'restorals-withheld' }, 10, 5), 'a trouble begins before it ends'],
  ])('is a trouble that could not happen: %o', (impossible, why) => {
    expect(() => createLink(plain, { troubles: [impossible] })).toThrow(why);
  });

  it('is to say something before what was said', () => {
    const { link } = say(createLink(plain), turned(10, 'heat'));

    expect(() => say(link, turned(9, 'heat'))).toThrow('a link only goes forward');
  });

  it('is a trouble in the past', () => {
    const { link } = receive(createLink(plain), 20);

    expect(() => troubleLink(link, trouble({ kind: 'restorals-withheld' }, 10))).toThrow('in the past');
  });
});

describe('a story that begins later on the clock', () => {
  it('stamps with the true time of its beginning', () => {
    const link = createLink({ ...plain, begin: instant(begin + 5_000) }, { at_s: 3_600 });
    const [up] = receive(link, 4_000).deliveries;

    expect(up?.topic === 'link' && formatInstant(up.message.time ?? begin)).toBe('2026-03-02T09:00:05.000Z');
  });
});
