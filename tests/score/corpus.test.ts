import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { causeIds } from '@tidemark/words';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { corpusPlan } from './corpus/corpus-plan.ts';
import { randomEpisode } from './corpus/random-episode.ts';
import { writeEpisode } from './corpus/write-episode.ts';
import { readEpisodes } from './episode.ts';
import { codeScores } from './metrics.ts';
import type { Outcome } from './metrics.ts';
import { findingsOf } from './replayed.ts';

describe('the plan of a corpus', () => {
  const plan = corpusPlan(1, 400);
  const seedsOf = (part: string) => plan.filter((each) => each.part === part).map(({ seed }) => seed);

  it('is half for tuning and half for the test, which share no seed', () => {
    expect(seedsOf('tuning')).toHaveLength(200);
    expect(seedsOf('test')).toHaveLength(200);
    expect(seedsOf('tuning').filter((seed) => seedsOf('test').includes(seed))).toEqual([]);
  });

  it('shares no seed of its test part with the tuning part of any other corpus', () => {
    const [last, first] = [corpusPlan(99_999, 10_000), corpusPlan(0, 10_000)];
    const highest = Math.max(...last.filter(({ part }) => part === 'tuning').map(({ seed }) => seed));
    const lowest = Math.min(...first.filter(({ part }) => part === 'test').map(({ seed }) => seed));

    expect(highest).toBeLessThan(lowest);
  });

  it.each(['tuning', 'test'])('has every cause of the contract in its %s part', (part) => {
    const causes = new Set(plan.filter((each) => each.part === part).flatMap((each) => each.causes));

    expect(causeIds.filter((cause) => !causes.has(cause))).toEqual([]);
  });

  it('has nothing wrong in three episodes of ten, and two faults in about one', () => {
    const counts = [0, 1, 2].map((count) => plan.filter(({ causes }) => causes.length === count).length);

    expect(counts[0]).toBe(120);
    expect(counts[2]).toBeGreaterThanOrEqual(36);
    expect(counts[2]).toBeLessThanOrEqual(40);
  });
});

describe('a random episode', () => {
  it('is the same for the same order, byte for byte', () => {
    const orders = corpusPlan(7, 8);

    expect(orders.map(randomEpisode)).toEqual(orders.map(randomEpisode));
  });

  it('is another one for another seed', () => {
    const [one, other] = [randomEpisode(orderOf(3)), randomEpisode(orderOf(4))];

    expect(one.log).not.toBe(other.log);
    expect(one.yaml).not.toBe(other.yaml);
  });

  it.each(causeIds)('has %s in it when it is ordered', (cause) => {
    const { truth } = randomEpisode({ part: 'tuning', seed: 500, causes: [cause] });

    expect(truth.injected.map((each) => each.cause)).toContain(cause);
  });

  const orderOf = (seed: number) => ({ part: 'tuning' as const, seed, causes: [] });
});

describe('the twin, on twenty episodes that it tells rightly', () => {
  const directory = mkdtempSync(join(tmpdir(), 'corpus-'));
  const outcomes: Outcome[] = [];

  beforeAll(async () => {
    for (const order of corpusPlan(4, 20)) writeEpisode(directory, randomEpisode(order));
    for (const episode of readEpisodes(directory)) outcomes.push({ episode, told: await findingsOf(episode) });
  });

  afterAll(() => rmSync(directory, { recursive: true }));

  it('misses nothing that the contract asks for, and says nothing that it does not', () => {
    const scores = codeScores(outcomes);

    expect(scores.reduce((sum, { hits }) => sum + hits, 0)).toBeGreaterThan(10);
    expect(scores.filter(({ falseAlarms, misses }) => falseAlarms + misses > 0)).toEqual([]);
  });

  it('tells nothing at all where nothing is wrong', () => {
    const normal = outcomes.filter(({ episode }) => episode.truth.injected.length === 0);

    expect(normal).toHaveLength(6);
    expect(normal.flatMap(({ told }) => told)).toEqual([]);
  });
});
