import { fc, test } from '@fast-check/vitest';
import { decode, defaultPrefix, readReplayLine } from '@tidemark/signals';
import { describe, expect } from 'vitest';
import { publicationOf, replayLineOf } from '../../src/index.ts';
import type { LinkTrouble, LinkTroubleKind, Said } from '../../src/index.ts';
import { hear, plain, signalsOf, turned } from './heard.ts';

const which = fc.oneof(
  fc.record({ share: fc.double({ min: 0, max: 1, noNaN: true }) }),
  fc.record({ every: fc.integer({ min: 1, max: 5 }) }),
);
const seconds = fc.integer({ min: 0, max: 400 }).map((tenths) => tenths / 10);

const kinds: fc.Arbitrary<LinkTroubleKind> = fc.oneof(
  fc.record({
    kind: fc.constant('outage' as const),
    meanwhile: fc.constantFrom('dropped' as const, 'stored' as const),
    restart: fc.boolean(),
  }),
  fc.record({ kind: fc.constant('drop' as const), which }),
  fc.record({
    kind: fc.constant('duplicate' as const),
    which,
    after_s: seconds,
    copies: fc.integer({ min: 1, max: 3 }),
  }),
  fc.record({ kind: fc.constant('delay' as const), by_s: seconds, spread_s: seconds }),
  fc.record({ kind: fc.constant('reorder' as const), which, by_s: seconds }),
  fc.record({
    kind: fc.constant('clock' as const),
    offset_s: fc.integer({ min: -7_200, max: 7_200 }),
    drift_s_per_day: fc.integer({ min: -100, max: 100 }),
  }),
  fc.record({ kind: fc.constant('restorals-withheld' as const) }),
  fc.record({
    kind: fc.constant('repeats-withheld' as const),
    after: fc.integer({ min: 1, max: 4 }),
    within_s: fc.integer({ min: 1, max: 60 }),
  }),
);

/** Troubles that are all over after 250 s, half of them in the same stretches. */
const troubles: fc.Arbitrary<readonly LinkTrouble[]> = fc
  .array(fc.tuple(kinds, fc.integer({ min: 0, max: 150 }), fc.integer({ min: 0, max: 100 })), { maxLength: 4 })
  .map((drawn) =>
    drawn.map(([kind, from_s, lasts_s], index) => ({ ...kind, id: `t${index}`, from_s, until_s: from_s + lasts_s })),
  );

const story: fc.Arbitrary<readonly Said[]> = fc
  .array(
    fc.tuple(fc.integer({ min: 0, max: 3_000 }), fc.constantFrom('waterflow', 'heat', 'manual-pull'), fc.boolean()),
    {
      maxLength: 40,
    },
  )
  .map((drawn) =>
    drawn
      .toSorted(([one], [other]) => one - other)
      .map(([tenths, signal, active]) => turned(tenths / 10, signal, active)),
  );

const looks = fc
  .array(fc.integer({ min: 0, max: 4_000 }), { maxLength: 12 })
  .map((drawn) => drawn.map((tenths) => tenths / 10).toSorted((one, other) => one - other));

const setup = { latency: { base_s: 0.1, spread_s: 2 }, willAfter_s: 20, storeLimit: 10 };
const until_s = 10_000;

describe('whatever is said over whatever link', () => {
  test.prop([story, troubles, looks])('it makes no difference in which slices it is asked', (said, given, when_s) => {
    const once = hear(said, given, { setup, until_s });
    const sliced = hear(said, given, { setup, until_s, looks: when_s });

    expect(sliced.deliveries).toEqual(once.deliveries);
    expect(sliced.fates).toEqual(once.fates);
    expect(sliced.link).toEqual(once.link);
  });

  test.prop([story, troubles])(
    'everything is received, dropped or withheld, and nothing is invented',
    (said, given) => {
      const { deliveries, fates, link } = hear(said, given, { setup, until_s });

      const arriving = said.filter((_, index) => fates[index] === 'sent' || fates[index] === 'stored');
      const arrived = signalsOf(deliveries).filter(({ repeat }) => !repeat);
      const facts = (each: readonly { readonly at_s: number; readonly data: unknown }[]) =>
        each.map(({ at_s, data }) => JSON.stringify([at_s, data])).toSorted();
      expect(facts(arrived.map(({ event, sent_s }) => ({ at_s: sent_s, data: event.data })))).toEqual(facts(arriving));
      expect(link.flying).toEqual([]);
      expect(link.stored).toEqual([]);
    },
  );

  test.prop([story, troubles])(
    'an identity is borne once, but for what is delivered again as it was',
    (said, given) => {
      const { deliveries } = hear(said, given, { setup, until_s });

      const firsts = signalsOf(deliveries).filter(({ repeat }) => !repeat);
      const byId = new Map(firsts.map(({ event }) => [event.id, event]));
      expect(byId.size).toBe(firsts.length);
      for (const { event, repeat } of signalsOf(deliveries)) if (repeat) expect(event).toEqual(byId.get(event.id));
    },
  );

  test.prop([story, troubles])(
    'numbers rise by one with all that is sent, and gaps are what was dropped',
    (said, given) => {
      const calm = given.filter(({ kind }) => kind !== 'reorder').map((each) => ({ ...each, restart: false }));
      const { deliveries, fates } = hear(said, calm, { setup, until_s });

      const numbered = said.filter((_, index) => fates[index] !== 'withheld');
      const numbers = signalsOf(deliveries)
        .filter(({ repeat }) => !repeat)
        .map(({ event }) => Number(event.sequence));
      const kept = fates
        .filter((fate) => fate !== 'withheld')
        .flatMap((fate, index) => (fate === 'dropped' ? [] : [index + 1]));
      expect(numbers).toEqual(kept);
      expect(Math.max(0, ...numbers)).toBeLessThanOrEqual(numbered.length);
    },
  );

  test.prop([story, troubles])(
    'nothing arrives before it was sent, or out of the order in which it is handed out',
    (said, given) => {
      const { deliveries } = hear(said, given, { setup, until_s });

      expect(deliveries.every(({ received_s, sent_s }) => received_s >= sent_s)).toBe(true);
      expect(deliveries.map(({ received_s }) => received_s)).toEqual(
        deliveries.map(({ received_s }) => received_s).toSorted((one, other) => one - other),
      );
    },
  );

  test.prop([story, troubles])('the link is told down and up in turn', (said, given) => {
    const told = hear(said, given, { setup, until_s }).deliveries.flatMap((each) =>
      each.topic === 'link' ? [each.message] : [],
    );

    // A new session may follow another without a will in between; a will never follows a will.
    told.forEach(({ link, session }, index) => {
      const before = told[index - 1];
      if (link === 'down') expect(before).toMatchObject({ link: 'up', session });
      else expect(before?.session).not.toBe(session);
    });
  });

  test.prop([story, troubles])('the station reads every message, off the wire and out of a file', (said, given) => {
    const { deliveries } = hear(said, given, { setup, until_s });

    const options = { prefix: defaultPrefix, key: plain.key, installed: () => ({ points: [] }) };
    for (const delivery of deliveries) {
      const live = decode({ ...publicationOf(delivery, plain), receivedAt: plain.begin }, options);
      const replayed = readReplayLine(replayLineOf(delivery, plain), options);
      expect(live.ok && replayed.ok && { ...replayed.value }).toEqual({
        ...(live.ok ? live.value : {}),
        receivedAt: plain.begin + Math.round(1_000 * delivery.received_s),
      });
    }
  });
});
