import { test as property, fc } from '@fast-check/vitest';
import { causeIds } from '@tidemark/words';
import type { CauseId } from '@tidemark/words';
import { describe, expect, it } from 'vitest';
import { bestCheck, information } from '../src/causes/best-check.ts';
import { causesOf, sharesOf } from '../src/causes/causes-of.ts';
import { checks } from '../src/causes/checks.ts';
import { argued } from '../src/causes/diagnosis.ts';
import { infer } from '../src/causes/infer.ts';
import { explains, likelihood } from '../src/causes/likelihoods.ts';
import type { Observations, Variable } from '../src/causes/variables.ts';
import { variableNames, variables } from '../src/causes/variables.ts';

/** Observations by their values alone. */
const observed = (values: Readonly<Partial<Record<Variable, string>>>): Observations =>
  Object.fromEntries(Object.entries(values).map(([name, value]) => [name, { value, evidence: [] }]));

/** A release that no water followed. */
const condition = {
  code: 'release-without-flow',
  occasion: 'one',
  dueAt_ms: 0,
  severity: 'critical',
  evidence: [],
  absence: true,
  say: () => ({ explanation: '', advice: '', caution: '' }),
} as const;

/** The shares of the causes that explain one symptom. */
const sharesFor = (
  values: Readonly<Partial<Record<Variable, string>>>,
  symptom: Variable,
): ReadonlyMap<CauseId, number> =>
  sharesOf(infer(observed(values)), (cause) => explains(cause, symptom, values[symptom] ?? ''));

const ranked = (shares: ReadonlyMap<CauseId, number>): readonly CauseId[] =>
  [...shares].sort(([, one], [, other]) => other - one).map(([cause]) => cause);

describe('the truth table of the witnesses (MODEL 4.8), at a release', () => {
  it('blames the release path where neither priming pressure nor water moved', () => {
    const shares = sharesFor({ release: 'follows', tripPrime: 'holds', tripFlow: 'lacking' }, 'tripFlow');

    expect(new Set(ranked(shares).slice(0, 3))).toEqual(
      new Set(['solenoid-coil-open', 'solenoid-stuck-shut', 'release-wiring-fault']),
    );
  });

  it('blames the valve, the water or the alarm line where the chamber vented', () => {
    const shares = sharesFor({ release: 'follows', tripPrime: 'falls', tripFlow: 'lacking' }, 'tripFlow');

    expect(ranked(shares).slice(0, 4)).toEqual(expect.arrayContaining(['valve-stuck-shut', 'supply-shut-unseen']));
    expect(shares.get('solenoid-coil-open') ?? 0).toBeLessThan(0.03);
  });

  it('drops the alarm line and its switch once an alarm test brought waterflow (A1, A13 show in D and T)', () => {
    const before = sharesFor({ tripPrime: 'falls', tripFlow: 'lacking' }, 'tripFlow');
    const after = sharesFor({ tripPrime: 'falls', tripFlow: 'lacking', testFlow: 'came' }, 'tripFlow');

    expect(before.get('flow-switch-stuck-normal')).toBeGreaterThan(0.1);
    expect(after.get('flow-switch-stuck-normal')).toBeLessThan((before.get('flow-switch-stuck-normal') ?? 0) / 4);
    expect(after.get('alarm-line-plugged')).toBeGreaterThan(before.get('alarm-line-plugged') ?? 1);
  });

  it('blames the priming switch where water came and priming pressure stood still', () => {
    const shares = sharesFor({ release: 'follows', tripPrime: 'holds', tripFlow: 'in-time' }, 'tripPrime');

    expect(ranked(shares)[0]).toBe('prime-switch-stuck-normal');
  });

  it('tells a wiring fault from a dead output by the trouble signal (R2 against R3)', () => {
    const shares = sharesFor({ release: 'lacking', releaseCircuit: 'trouble' }, 'release');

    expect(shares.get('release-wiring-fault')).toBeGreaterThan(3 * (shares.get('release-output-dead') ?? 1));
  });
});

describe('what moves with no release (MODEL 4.8)', () => {
  it('is a person at the local release or a weeping seat when priming pressure and water move together (R9, V3)', () => {
    const first = ranked(sharesFor({ selfTrip: 'together' }, 'selfTrip')).slice(0, 3);

    expect(first).toContain('manual-release-operated');
    expect(first.some((cause) => cause === 'seat-weeping' || cause === 'drip-plugged')).toBe(true);
  });

  it('is a leak, a shut priming valve or the supply, and nobody at the local release, when priming pressure falls long before', () => {
    const shares = sharesFor({ selfTrip: 'prime-then-water' }, 'selfTrip');

    for (const slow of ['prime-chamber-leaking', 'solenoid-leaking', 'prime-valve-shut'] as const)
      expect(shares.get(slow), slow).toBeGreaterThan(2 * (shares.get('manual-release-operated') ?? 0));
  });

  it('is in the alarm line alone when priming pressure stood: never a valve opening', () => {
    const shares = sharesFor({ selfTrip: 'water-alone' }, 'selfTrip');

    expect(shares.get('flow-switch-stuck-active')).toBeGreaterThan(10 * (shares.get('manual-release-operated') ?? 0));
    expect(shares.get('manual-release-operated') ?? 0).toBeLessThan(0.02);
  });

  it('is the supply when its pressure fell first', () => {
    const first = ranked(sharesFor({ selfTrip: 'prime-alone', supplyPressure: 'falls-before' }, 'selfTrip')).slice(
      0,
      3,
    );

    expect(first).toEqual(expect.arrayContaining(['supply-dip', 'prime-check-leaking']));
  });
});

describe('two faults at once', () => {
  const both = { clock: 'wrong', refill: 'lacking', reopening: 'trips-unprimed' } as const;

  it('are considered when no single one explains every symptom, and each finding gets the one of its own', () => {
    expect(infer(observed(both)).hypotheses.some(({ causes }) => causes.length === 2)).toBe(true);
    expect(['clock-offset', 'clock-drift']).toContain(ranked(sharesFor(both, 'clock'))[0]);
    expect(['prime-valve-shut', 'solenoid-stuck-open', 'manual-release-left-open', 'relief-stuck-open']).toContain(
      ranked(sharesFor(both, 'refill'))[0],
    );
  });

  it('are not considered when one explains everything', () => {
    const { hypotheses } = infer(observed({ refill: 'lacking', reopening: 'trips-unprimed' }));

    expect(hypotheses.every(({ causes }) => causes.length === 1)).toBe(true);
  });
});

const anyObservations = fc
  .record(Object.fromEntries(variableNames.map((name) => [name, fc.constantFrom(...variables[name])])), {
    requiredKeys: [],
  })
  .map((values) => observed(values));

describe('whatever is observed', () => {
  property.prop([anyObservations], { seed: 20261125, numRuns: 300 })(
    'shares are probabilities, and something else keeps its part',
    (observations) => {
      const belief = infer(observations);
      for (const variable of variableNames) {
        const value = observations[variable]?.value;
        if (value === undefined) continue;
        const shares = sharesOf(belief, (cause) => explains(cause, variable, value));
        const sum = [...shares.values()].reduce((total, share) => total + share, 0);
        expect(sum).toBeLessThan(1);
        for (const share of shares.values()) expect(share).toBeGreaterThanOrEqual(0);
      }
    },
  );

  it('each fault spreads exactly one over the values of each variable', () => {
    for (const cause of causeIds)
      for (const variable of variableNames) {
        const sum = variables[variable].reduce((total, value) => total + likelihood(cause, variable, value), 0);
        expect(sum, `${cause} ${variable}`).toBeCloseTo(1);
      }
  });
});

describe('the groups of a finding', () => {
  it('hold what the signals cannot tell apart, ranked, their sum at most 1', () => {
    const groups = causesOf(condition, {
      observed: observed({ release: 'follows', tripPrime: 'holds' }),
      priors: {},
      blind: false,
    });

    expect(groups[0]?.causes).toEqual(
      expect.arrayContaining(['solenoid-coil-open', 'release-wiring-fault', 'solenoid-stuck-shut']),
    );
    const probabilities = groups.map(({ probability }) => probability);
    expect(probabilities).toEqual([...probabilities].sort((one, other) => other - one));
    expect(probabilities.reduce((sum, share) => sum + share, 0)).toBeLessThanOrEqual(1);
  });

  it('count a lost signal among their causes while the link is stale', () => {
    const told = (blind: boolean): number =>
      causesOf(condition, { observed: observed({ release: 'follows', tripPrime: 'holds' }), priors: {}, blind })
        .filter(({ causes }) => causes.includes('link-lost'))
        .reduce((sum, { probability }) => sum + probability, 0);

    expect(told(true)).toBeGreaterThan(told(false));
    expect(told(true)).toBeGreaterThan(0.2);
  });
});

describe('the check of a group', () => {
  const even = (causes: readonly CauseId[]): ReadonlyMap<CauseId, number> =>
    new Map(causes.map((cause) => [cause, 1 / causes.length]));

  it('is the one whose outcome is expected to tell most: outcome by outcome, the entropy (Shannon 1948)', () => {
    const gauge = checks.find(({ id }) => id === 'outlet-gauge');
    if (gauge === undefined) throw new Error('the outlet gauge is a check');

    expect(information(gauge, even(['alarm-line-plugged', 'valve-stuck-shut']))).toBeCloseTo(1);
    expect(information(gauge, even(['clock-offset', 'clock-drift']))).toBeCloseTo(0);
    expect(information(gauge, even(['supply-shut-unseen', 'valve-stuck-shut']))).toBeCloseTo(0);
  });

  it.each([
    { group: ['prime-valve-shut', 'solenoid-stuck-open', 'manual-release-left-open'], word: 'release drain' },
    { group: ['bleed-hole-plugged', 'alarm-test-valve-leaking', 'flow-switch-stuck-active'], word: 'alarm line' },
    { group: ['clock-offset', 'clock-drift'], word: 'clock of the panel' },
    { group: ['release-left-disabled'], word: 'disconnect switch' },
  ] as const)('of $group is read at the $word (MODEL 4.8)', ({ group, word }) => {
    expect(bestCheck(group, even(group))).toContain(word);
  });

  it('can be named for every cause: none is left without one', () => {
    const named = new Set(checks.flatMap(({ outcomes }) => Object.values(outcomes).flat()));

    expect(causeIds.filter((cause) => !named.has(cause))).toEqual([]);
  });
});

describe('an answer from the site', () => {
  it('moves the ranking to the causes under which it is found, and can be outweighed (an answer may be wrong)', () => {
    const values = observed({ tripPrime: 'falls', tripFlow: 'lacking' });
    const share = (cause: CauseId, answers: ReadonlyMap<string, string>): number =>
      sharesOf(infer(values, {}, answers), (each) => explains(each, 'tripFlow', 'lacking')).get(cause) ?? 0;
    const water = new Map([['outlet-gauge', 'water']]);

    expect(share('valve-stuck-shut', water)).toBeLessThan(share('valve-stuck-shut', new Map()) / 5);
    expect(share('flow-switch-stuck-normal', water)).toBeGreaterThan(share('flow-switch-stuck-normal', new Map()));
    expect(share('valve-stuck-shut', water)).toBeGreaterThan(0);
  });

  it('that is not one of its check changes nothing', () => {
    expect(infer(observed({ tripFlow: 'lacking' }), {}, new Map([['outlet-gauge', 'purple']]))).toEqual(
      infer(observed({ tripFlow: 'lacking' })),
    );
  });
});

describe('the arguments of a ranking', () => {
  it('never hold against a group the symptom that it explains: that is what it is named for', () => {
    const observations = observed({ waterWhileClosed: 'begins' });
    const flow = { ...condition, code: 'flow-with-supply-closed', variant: 'begins' } as const;
    const groups = argued(causesOf(flow, { observed: observations, priors: {}, blind: false }), observations);

    expect(groups[0]?.for.map(({ says }) => says)).toEqual(['Water began while the supply valve was reported closed.']);
    expect(groups.flatMap(({ against }) => against)).toEqual([]);
  });

  it('say what speaks for a group and what against it, with the events', () => {
    const observations = observed({ release: 'follows', tripPrime: 'falls', tripFlow: 'lacking' });
    const groups = causesOf(condition, { observed: observations, priors: {}, blind: false });
    const [first] = argued(groups, observations);

    expect(first?.outcomes.map(({ found }) => found).length).toBeGreaterThan(1);
    for (const group of argued(groups, observations)) {
      const releasePath = group.causes.includes('solenoid-stuck-shut');
      expect(group.against.some(({ says }) => says.startsWith('Priming pressure fell at the release'))).toBe(
        releasePath,
      );
    }
  });
});
