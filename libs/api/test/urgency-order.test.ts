import type { RiserSummary, Urgency } from '@tidemark/api';
import { byUrgency } from '@tidemark/api';
import { describe, expect, it } from 'vitest';

const unseen = { supply: 'unseen', seat: 'unseen', outlet: 'unseen', piping: 'unseen' } as const;

const riser = (
  name: string,
  urgency: Urgency,
  more: { deadline?: string; unacknowledged?: number; level?: number } = {},
): RiserSummary => ({
  account: 'quayside-cold-store',
  riser: name,
  site: { name: 'Quayside cold store', timeZone: 'Europe/Oslo' },
  phase: 'unknown',
  asOf: '2026-03-02T07:00:00.000Z',
  headline: '',
  urgency,
  openFindings: { critical: 0, high: 0, advisory: 0, unacknowledged: more.unacknowledged ?? 0 },
  openAlerts: { unacknowledged: 0, unanswered: [], shelved: 0, overdue: 0, level: more.level ?? 0 },
  waterline: unseen,
  link: { state: 'up' },
  ...(more.deadline === undefined ? {} : { deadline: { at: more.deadline, what: 'water stopped' } }),
});

const order = (...risers: RiserSummary[]): string[] => risers.toSorted(byUrgency).map((each) => each.riser);

describe('the order of the queue', () => {
  it('puts urgency before everything else', () => {
    const early = riser('soon', 'soon', { deadline: '2026-03-02T07:00:00.000Z', unacknowledged: 1 });

    expect(order(riser('none', 'none'), riser('later', 'when-convenient'), early, riser('now', 'now'))).toEqual([
      'now',
      'soon',
      'later',
      'none',
    ]);
  });

  it('puts what escalated before its equals, and never before what is more urgent', () => {
    const neglected = riser('neglected', 'soon', { level: 3 });

    expect(order(riser('soon', 'soon', { unacknowledged: 1 }), neglected, riser('now', 'now'))).toEqual([
      'now',
      'neglected',
      'soon',
    ]);
  });

  it('puts what nobody has acknowledged before what somebody has', () => {
    const acknowledged = riser('acknowledged', 'now', { deadline: '2026-03-02T07:00:00.000Z' });

    expect(order(acknowledged, riser('open', 'now', { unacknowledged: 1 }))).toEqual(['open', 'acknowledged']);
  });

  it('puts the earlier deadline first and no deadline last', () => {
    expect(
      order(
        riser('b-without', 'now'),
        riser('a-without', 'now'),
        riser('late', 'now', { deadline: '2026-03-02T07:05:00.000Z' }),
        riser('early', 'now', { deadline: '2026-03-02T07:04:59.000Z' }),
      ),
    ).toEqual(['early', 'late', 'a-without', 'b-without']);
  });
});
