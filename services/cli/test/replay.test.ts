import { fc, test } from '@fast-check/vitest';
import { formatInstant, instant, ok } from '@tidemark/kernel';
import type { Instant } from '@tidemark/kernel';
import { parseProfile } from '@tidemark/riser';
import type { Profile } from '@tidemark/riser';
import { describe, expect } from 'vitest';
import { Replay } from '../src/index.ts';
import type { ReplayCounts, ReplayLine, ReplayNews } from '../src/index.ts';

const profile = ((): Profile => {
  const text = `account: quay
riser: deluge-1
site: { name: Quay, timeZone: Europe/Oslo }
release: electric
points:
  - { point: 1, signal: manual-pull }
  - { point: 3, signal: waterflow }
  - { point: 4, signal: supply-valve }
  - { point: 5, signal: prime-pressure-low }
  - { point: 6, signal: solenoid }
`;
  const read = parseProfile(text, 'quay.riser.yaml');
  if (!read.ok) throw new Error('the profile of this test is in order');
  return read.value;
})();

const begin = instant(Date.UTC(2026, 2, 2, 8));
const signals = ['manual-pull', 'waterflow', 'supply-valve', 'prime-pressure-low', 'solenoid'] as const;

interface Sent {
  readonly receivedAt: Instant;
  readonly text: string;
}

/** Any signals at all, physical or not, a few seconds to some minutes apart. */
const anyLog = fc
  .array(
    fc.record({
      after_s: fc.oneof(fc.nat(15), fc.nat(900)),
      signal: fc.constantFrom(...signals, 'reset' as const),
      active: fc.boolean(),
    }),
    { minLength: 1, maxLength: 25 },
  )
  .map((drawn): readonly Sent[] => {
    let at = begin;
    return drawn.map(({ after_s, signal, active }, index) => {
      at = instant(at + after_s * 1_000);
      const state = signal === 'reset' ? 'performed' : active ? 'active' : 'restored';
      const event = {
        specversion: '1.0',
        id: `s-${index}`,
        source: '/quay/panel-1',
        type: 'riser.signal.v1',
        subject: 'deluge-1',
        time: formatInstant(at),
        data: { signal, state },
      };
      return { receivedAt: at, text: JSON.stringify(event) };
    });
  });

/** Lines that are added to a log: which one is meant, and how long after it. */
const additions = fc.array(fc.record({ of: fc.nat(), after_ms: fc.nat(1_200_000) }), { maxLength: 10 });

/** Puts lines into a log at the times they are received, after what is received at the same moment. */
const withAdded = (log: readonly Sent[], added: readonly Sent[]): readonly Sent[] =>
  [...log, ...added].toSorted((one, other) => one.receivedAt - other.receivedAt);

function replayed(
  log: readonly Sent[],
  end: Instant,
): { readonly news: readonly ReplayNews[]; readonly counts: ReplayCounts } {
  const replay = new Replay(profile);
  const news = log.flatMap(({ receivedAt, text }, index) => {
    const line: ReplayLine = { number: index + 1, receivedAt, text: ok(text) };
    return replay.take(line);
  });
  return { news: [...news, ...replay.runTo(end)], counts: replay.counts };
}

const withoutQuarantine = (news: readonly ReplayNews[]): readonly ReplayNews[] =>
  news.filter(({ kind }) => kind !== 'quarantine');

const endOf = (...logs: readonly (readonly Sent[])[]): Instant =>
  instant(Math.max(...logs.flatMap((log) => log.map(({ receivedAt }) => receivedAt))) + 4 * 3_600_000);

describe('a replay', () => {
  test.prop([anyLog, additions], { numRuns: 200, seed: 71 })(
    'tells the same with duplicates anywhere behind their first as without them',
    (log, drawn) => {
      const copies = drawn.map(({ of, after_ms }): Sent => {
        const meant = log[of % log.length]!;
        return { receivedAt: instant(meant.receivedAt + after_ms), text: meant.text };
      });
      const doubled = withAdded(log, copies);
      const end = endOf(log, copies);

      const [once, again] = [replayed(log, end), replayed(doubled, end)];

      expect(again.news).toEqual(once.news);
      expect(again.counts).toEqual({ ...once.counts, lines: doubled.length, duplicates: copies.length });
    },
  );

  test.prop([anyLog, additions], { numRuns: 200, seed: 72 })(
    'tells the same however often the clock is looked at between the lines',
    (log, drawn) => {
      const broken = drawn.map(({ after_ms }): Sent => ({ receivedAt: instant(begin + 3 * after_ms), text: 'tide' }));
      const later = broken.filter(({ receivedAt }) => receivedAt >= log[0]!.receivedAt);
      const end = endOf(log, later);

      const [plain, looked] = [replayed(log, end), replayed(withAdded(log, later), end)];

      expect(withoutQuarantine(looked.news)).toEqual(plain.news);
      expect(looked.counts.quarantined).toBe(later.length);
    },
  );

  test.prop([anyLog], { numRuns: 100, seed: 73 })('never tells anything before what it told already', (log) => {
    const { news } = replayed(log, endOf(log));

    const told = news.flatMap((each) => {
      if (each.kind === 'phase') return each.at === undefined ? [] : [each.at];
      return each.kind === 'finding' ? [each.finding.at] : [];
    });
    expect(told).toEqual(told.toSorted((one, other) => one - other));
  });
});
