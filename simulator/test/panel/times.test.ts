import { describe, expect, it } from 'vitest';
import { panelSettings } from '../../src/index.ts';
import {
  at,
  back,
  disconnect,
  made,
  moments,
  play,
  power,
  profileWith,
  programme,
  reset,
  told,
  wiring,
} from './told.ts';
import type { Act } from './told.ts';

/*
 * Times that standards give. Clauses as the project's list of facts has them; what is from memory there says so here.
 * Devices act at odd moments so that the phase of the panel's scan is in the figures.
 */
const acts_s = 100.01;

describe('the panel', () => {
  it.each([
    ['manual-pull 1 active', at.pull],
    ['heat 2 active', at.heat],
    ['waterflow 4 active', at.waterflow],
  ])('announces %s within 10 s (NFPA 72-2019, 10.11.1)', (what, point) => {
    const lines = told(programme(), [[acts_s, made(point)]], 200);

    expect(moments(lines, what)[0]! - acts_s).toBeLessThanOrEqual(10);
    expect(moments(lines, 'panel-alarm active')[0]! - acts_s).toBeLessThanOrEqual(10);
    expect(moments(lines, 'horns on')[0]! - acts_s).toBeLessThanOrEqual(10);
  });

  it('announces waterflow within 90 s and 10 s by the longest retard (NFPA 72-2022, 17.13.2; 2019, 10.11.1)', () => {
    const lines = told(programme('{ waterflowRetardSeconds: 90 }'), [[acts_s, made(at.waterflow)]], 300);

    expect(moments(lines, 'waterflow 4 active')[0]! - acts_s).toBeGreaterThanOrEqual(90);
    expect(moments(lines, 'panel-alarm active')[0]! - acts_s).toBeLessThanOrEqual(100);
  });

  it.each([
    [20, []],
    [89.7, []],
    [90.6, [190.25]],
  ])('takes flow of %s s under a retard of 90 s as a surge or as flow (FACTS 1.01)', (flow_s, alarms) => {
    const surge: readonly Act[] = [
      [acts_s, made(at.waterflow)],
      [acts_s + flow_s, back(at.waterflow)],
    ];

    expect(moments(told(programme('{ waterflowRetardSeconds: 90 }'), surge, 400), 'waterflow 4 active')).toEqual(
      alarms,
    );
  });

  it('begins the retard anew when flow pauses', () => {
    const pulses: readonly Act[] = [
      [0, made(at.waterflow)],
      [50, back(at.waterflow)],
      [51, made(at.waterflow)],
    ];

    const lines = told(programme('{ waterflowRetardSeconds: 60 }'), pulses, 400);

    expect(moments(lines, 'waterflow 4 active')).toEqual([111.25]);
  });

  it('announces an off-normal valve and its restoral within 90 s (NFPA 72, 10.14.1 and 10.14.2; the latter from memory)', () => {
    const lines = told(
      programme(),
      [
        [acts_s, made(at.supply)],
        [acts_s + 500, back(at.supply)],
      ],
      900,
    );

    expect(moments(lines, 'supply-valve 5 active')[0]! - acts_s).toBeLessThanOrEqual(90);
    expect(moments(lines, 'supply-valve 5 restored')[0]! - acts_s - 500).toBeLessThanOrEqual(90);
  });

  it.each([
    ['release-circuit', wiring('release', 'open'), wiring('release')],
    ['release-circuit', wiring('release', 'short'), wiring('release')],
    ['initiating-circuit', wiring(at.heat, 'open'), wiring(at.heat)],
    ['initiating-circuit', wiring(at.supply, 'open'), wiring(at.supply)],
    ['battery', power('battery', false), power('battery', true)],
    [
      'earth-fault',
      { type: 'trouble', trouble: 'earth-fault', on: true },
      { type: 'trouble', trouble: 'earth-fault', on: false },
    ],
  ] as const)('tells the trouble %s and its restoral within 200 s (NFPA 72, 10.15.1)', (signal, broken, mended) => {
    const lines = told(
      programme(),
      [
        [acts_s, broken],
        [acts_s + 500, mended],
      ],
      900,
    );

    for (const what of [signal, 'panel-trouble']) {
      expect(moments(lines, `${what} active`)[0]! - acts_s).toBeLessThanOrEqual(200);
      expect(moments(lines, `${what} restored`)[0]! - acts_s - 500).toBeLessThanOrEqual(200);
    }
  });

  it('holds the loss of primary power back from the station for 60 to 180 min (NFPA 72, 10.6.9.3, from memory)', () => {
    const lines = told(programme(), [[acts_s, power('ac', false)]], 20_000);

    expect(moments(lines, 'ac-power active')[0]! - acts_s).toBeGreaterThanOrEqual(3_600);
    expect(moments(lines, 'ac-power active')[0]! - acts_s).toBeLessThanOrEqual(10_800);
  });

  it('tells within 200 s that primary power is back, once its loss was told (NFPA 72, 10.15.1)', () => {
    const lines = told(
      programme(),
      [
        [acts_s, power('ac', false)],
        [acts_s + 8_000, power('ac', true)],
      ],
      20_000,
    );

    expect(moments(lines, 'ac-power restored')[0]! - acts_s - 8_000).toBeLessThanOrEqual(200);
  });

  it('says nothing of primary power that is back within the hour', () => {
    expect(
      told(
        programme(),
        [
          [acts_s, power('ac', false)],
          [3_500, power('ac', true)],
        ],
        20_000,
      ),
    ).toEqual([]);
  });

  it('has the alarm again within 20 s of a reset that found the device active (EN 54-2, 7.6, from memory)', () => {
    const lines = told(
      programme(),
      [
        [acts_s, made(at.heat)],
        [500, reset],
      ],
      600,
    );

    expect(moments(lines, 'panel-alarm active')[1]! - 500).toBeLessThanOrEqual(20);
    expect(moments(lines, 'circuit energized')[1]! - 500).toBeLessThanOrEqual(20);
  });

  it('has it again within the settling time of its profile, however short that is', () => {
    const settings = programme('{ resetSettleSeconds: 0 }');

    const lines = told(
      settings,
      [
        [acts_s, made(at.heat)],
        [500, reset],
      ],
      600,
    );

    expect(moments(lines, 'heat 2 active')[1]).toBe(500);
  });

  it('gives a supervisory signal within 90 s when the release is disconnected (NFPA 72, 23.11.5.1, from memory)', () => {
    const lines = told(
      programme(),
      [
        [acts_s, disconnect(true)],
        [900, disconnect(false)],
      ],
      1_000,
    );

    expect(lines).toEqual([
      '100.25 release-disconnect 8 active',
      '100.25 panel-supervisory active',
      '900.25 release-disconnect 8 restored',
      '900.25 panel-supervisory restored',
    ]);
  });

  it('sends a periodic test at once and then well within the supervision interval of its profile', () => {
    const settings = panelSettings(profileWith());

    const tests_s = play(settings, [], 36_000).outputs.map(({ at_s }) => at_s);
    const gaps_s = tests_s.slice(1).map((at_s, index) => at_s - tests_s[index]!);

    expect(tests_s[0]).toBe(0);
    // NFPA 72, 26.6.3.3: a single path is supervised within 60 min (FACTS 1.41); the default of the profile is that.
    expect(tests_s).toHaveLength(13);
    expect(Math.max(...gaps_s)).toBeLessThan(3_600);
  });

  it('energizes the release 0.05 s after the alarm, and with a delay that much later (MODEL 4, healthy pattern)', () => {
    const energized_s = (panel: string): number =>
      moments(told(programme(panel), [[100, made(at.heat)]], 300), 'circuit energized')[0]!;

    expect(energized_s('{}')).toBe(100.3);
    expect(energized_s('{ releaseDelaySeconds: 30 }')).toBe(130.3);
  });
});
