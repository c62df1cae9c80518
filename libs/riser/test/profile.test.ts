import { describe, expect, it } from 'vitest';
import { describeMistake, parseProfile } from '@tidemark/riser';

const shortest = `account: quayside-cold-store
riser: deluge-1
site: { name: Quayside cold store, timeZone: Europe/Oslo }
release: electric
points:
  - { point: 1, signal: manual-pull }
  - { point: 3, signal: waterflow }
`;

const mistakes = (text: string): readonly string[] => {
  const parsed = parseProfile(text, 'deluge-1.riser.yaml');
  return parsed.ok ? [] : parsed.failure.map(describeMistake);
};

describe('a short profile', () => {
  it('works, with the defaults of CONTRACT 3 in SI', () => {
    const parsed = parseProfile(shortest, 'deluge-1.riser.yaml');

    expect(
      parsed.ok && {
        supply: parsed.value.supply,
        panel: parsed.value.panel,
        link: parsed.value.link,
        limits: parsed.value.limits,
      },
    ).toEqual({
      // 1 psi = 6894.757 Pa, 1 gpm = 6.30902e-5 m3/s (NIST SP 811, B.8).
      supply: {
        static: expect.closeTo(689_475.7, 0),
        residual: expect.closeTo(551_580.6, 0),
        at: expect.closeTo(0.0630902, 6),
      },
      panel: {
        restorals: 'contact',
        supervisoryRestorals: 'contact',
        releaseDelaySeconds: 0,
        waterflowRetardSeconds: 0,
        resetSettleSeconds: 20,
        verificationSeconds: 0,
        refusesResetWhileActive: false,
      },
      link: { supervisionSeconds: 3_600, latencySeconds: 10 },
      limits: {
        scanSeconds: 1,
        releaseToleranceSeconds: 10,
        drainsOpenWithinSeconds: 600,
        quietSeconds: 7_200,
        reopenSeconds: 120,
        supplyLeftClosedSeconds: 600,
        supervisoryMissingSeconds: 90,
        releaseDisabledSeconds: 7_200,
        clockSkewSeconds: 60,
        chattering: { activations: 3, inSeconds: 60 },
        troubleSeconds: 14_400,
        impairmentSeconds: 36_000,
      },
    });
  });
});

describe('a mistake in a profile', () => {
  it.each([
    [
      'a wrong signal',
      shortest.replace('signal: waterflow', 'signal: water'),
      /^deluge-1\.riser\.yaml:7: points\.1\.signal: expected a signal name/,
    ],
    [
      'a missing unit',
      `${shortest}supply: { static: 100, residual: 80 psi, at: 1000 gpm }\n`,
      /:8: supply\.static: expected a pressure with its unit/,
    ],
    [
      'the wrong dimension',
      `${shortest}supply:\n  static: 100 gpm\n  residual: 80 psi\n  at: 1000 gpm\n`,
      /:9: supply\.static: expected a positive pressure/,
    ],
    ['an unknown key', `${shortest}nozles: { count: 4 }\n`, /:8: nozles: expected no such key/],
    ['a point twice', shortest.replace('point: 3', 'point: 1'), /:7: points\.1\.point: expected a number of its own/],
    [
      'an unknown zone',
      shortest.replace('Europe/Oslo', 'Europe/Oslow'),
      /:3: site\.timeZone: expected an IANA time zone/,
    ],
    [
      'a residual above the static',
      `${shortest}supply: { static: 60 psi, residual: 80 psi, at: 1000 gpm }\n`,
      /:8: supply\.residual: expected the residual pressure below/,
    ],
    ['a bad name', shortest.replace('deluge-1', 'Deluge 1'), /:2: riser: expected lower-case letters/],
    ['YAML that is none', `${shortest}points: [`, /:\d+: expected YAML/],
    ['a key twice', `${shortest}release: electric\n`, /:8: expected YAML: Map keys must be unique/],
  ])('%s is named with file, line, key and what was expected', (_name, text, message) => {
    expect(mistakes(text)[0]).toMatch(message);
  });

  it('of several, each is named', () => {
    expect(mistakes(shortest.replace('electric', 'steam').replace('waterflow', 'water'))).toHaveLength(2);
  });
});
