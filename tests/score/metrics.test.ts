import { instant } from '@tidemark/kernel';
import type { CauseId, FindingCode } from '@tidemark/reasoning';
import { describe, expect, it } from 'vitest';
import type { LabelledEpisode } from './episode.ts';
import { brierOf, causeScores, codeScores, rankingOf } from './metrics.ts';
import type { ToldFinding } from './replayed.ts';

const group = (probability: number, ...causes: readonly CauseId[]) => ({ causes, probability, check: '' });

const told = (code: FindingCode, at_s: number, ...causes: ToldFinding['causes']): ToldFinding => ({
  code,
  raisedAt: instant(at_s * 1_000),
  causes,
});

const episode = (truth: Partial<LabelledEpisode['truth']>): LabelledEpisode => ({
  id: 'one',
  log: '',
  profile: undefined as never,
  truth: { part: 'test', story: '', until: instant(0), injected: [], meets: [], may: [], ...truth },
});

describe('the Brier score of a ranking', () => {
  it.each([
    { says: 'sure and right', groups: [group(1, 'link-lost')], score: 0 },
    { says: 'sure and wrong', groups: [group(1, 'supply-dip')], score: 1 },
    { says: 'saying nothing', groups: [], score: 1 },
    // Brier 1950 for two classes: a forecast of 0.7 for what then happens has (0.3² + 0.3²) / 2.
    { says: '0.7 for the truth', groups: [group(0.7, 'link-lost')], score: 0.09 },
    { says: '0.7 for another', groups: [group(0.7, 'supply-dip')], score: 0.79 },
  ])('is $score when $says', ({ groups, score }) => {
    expect(brierOf(groups, ['link-lost'])).toBeCloseTo(score);
  });

  it('is right to keep something else for a cause that it does not know', () => {
    expect(brierOf([group(0.1, 'supply-dip')], [])).toBeLessThan(brierOf([group(0.9, 'supply-dip')], []));
  });
});

describe('the score of a code', () => {
  const meets = [{ code: 'stale-link' as const, from: instant(10_000), to: instant(40_000) }];

  it('counts what is raised in its time, once, and its delay', () => {
    const [score] = codeScores([{ episode: episode({ meets }), told: [told('stale-link', 12)] }]);

    expect(score).toEqual({ code: 'stale-link', hits: 1, falseAlarms: 0, misses: 0, delays_s: [2] });
  });

  it('counts what comes too late as missed and as false', () => {
    const [score] = codeScores([{ episode: episode({ meets }), told: [told('stale-link', 41)] }]);

    expect(score).toMatchObject({ hits: 0, falseAlarms: 1, misses: 1 });
  });

  it('counts a repeat as false, and what the contract leaves open not at all', () => {
    const scores = codeScores([
      {
        episode: episode({ meets, may: ['chattering'] }),
        told: [told('stale-link', 12), told('stale-link', 13), told('chattering', 5)],
      },
    ]);

    expect(scores).toEqual([{ code: 'stale-link', hits: 1, falseAlarms: 1, misses: 0, delays_s: [2] }]);
  });
});

describe('the score of a cause', () => {
  const injected = [{ cause: 'prime-valve-shut' as const, at: instant(0) }];

  it('ranks over all findings of an episode, a cause where it stands highest', () => {
    const findings = [
      told('prime-not-restored', 1, group(0.5, 'prime-valve-shut'), group(0.3, 'supply-dip')),
      told('flow-without-release', 2, group(0.6, 'supply-dip')),
    ];

    expect(rankingOf(findings).map(({ causes }) => causes[0])).toEqual(['supply-dip', 'prime-valve-shut']);
    expect(causeScores([{ episode: episode({ injected }), told: findings }])).toMatchObject([
      { cause: 'prime-valve-shut', episodes: 1, silent: 0, first: 0, three: 1 },
    ]);
  });

  it('ranks nothing where nothing was found', () => {
    expect(causeScores([{ episode: episode({ injected }), told: [] }])).toMatchObject([
      { episodes: 1, silent: 1, first: 0, three: 0 },
    ]);
  });
});
