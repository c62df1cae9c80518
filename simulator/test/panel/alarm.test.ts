import { describe, expect, it } from 'vitest';
import { panelFront } from '../../src/index.ts';
import { at, back, disconnect, made, moments, play, programme, reset, silence, told, wiring } from './told.ts';
import type { Act } from './told.ts';

describe('an alarm', () => {
  it('holds panel and release until a reset, though its device has restored (FACTS 3.07)', () => {
    const { panel, outputs } = play(
      programme(),
      [
        [100, made(at.heat)],
        [110, back(at.heat)],
      ],
      1_000,
    );

    expect(panelFront(panel)).toEqual({
      alarm: true,
      supervisory: false,
      trouble: false,
      active: ['heat', 'solenoid'],
    });
    expect(outputs.at(-1)).toEqual({
      at_s: 110.25,
      type: 'signal',
      data: { signal: 'heat', state: 'restored', point: at.heat },
    });
  });

  it('is announced again when its device acts a second time before the reset', () => {
    const twice: readonly Act[] = [
      [100, made(at.heat)],
      [110, back(at.heat)],
      [120, made(at.heat)],
    ];

    expect(moments(told(programme(), twice, 200), 'heat 2 active')).toEqual([100.25, 120.25]);
    expect(moments(told(programme('{ restorals: reset }'), twice, 200), 'heat 2 active')).toEqual([100.25]);
  });

  it('of a waterflow switch sounds the horns and releases nothing', () => {
    expect(told(programme(), [[100, made(at.waterflow)]], 300)).toEqual([
      '100.25 horns on',
      '100.25 waterflow 4 active',
      '100.25 panel-alarm active',
    ]);
  });

  it('of a point that does not release by its profile releases nothing', () => {
    const settings = programme();
    const contacts = settings.contacts.map((each) => (each.point === at.heat ? { ...each, releases: false } : each));

    expect(moments(told({ ...settings, contacts }, [[100, made(at.heat)]], 300), 'circuit energized')).toEqual([]);
  });

  it('is announced before what is supervisory, and that before trouble, when all are found at once (NFPA 72, 10.7)', () => {
    const settings = programme();
    const acts: readonly Act[] = [
      [90, wiring('release', 'open')],
      [100, made(at.supply)],
      [100.1, made(at.pull)],
    ];

    expect(told(settings, acts, 101)).toEqual([
      '100.25 horns on',
      '100.25 manual-pull 1 active',
      '100.25 supply-valve 5 active',
      '100.25 release-circuit active',
      '100.25 panel-alarm active',
      '100.25 panel-supervisory active',
      '100.25 panel-trouble active',
    ]);
  });

  it('that came and went between two scans is not seen', () => {
    expect(
      told(
        programme(),
        [
          [100.05, made(at.heat)],
          [100.2, back(at.heat)],
        ],
        300,
      ),
    ).toEqual([]);
  });
});

describe('verification', () => {
  const verified = programme('{ verificationSeconds: 30 }');

  it('believes a smoke detector that still is in alarm after its time', () => {
    expect(moments(told(verified, [[100, made(at.smoke)]], 300), 'smoke 3 active')).toEqual([130.25]);
  });

  it('looks again at its end, whatever the detector did in between', () => {
    const flicker: readonly Act[] = [
      [100, made(at.smoke)],
      [110, back(at.smoke)],
      [120, made(at.smoke)],
    ];

    expect(moments(told(verified, flicker, 300), 'smoke 3 active')).toEqual([130.25]);
    expect(told(verified, [...flicker, [125, back(at.smoke)]], 300)).toEqual([]);
  });

  it('never delays a pull station or a heat detector (NFPA 72, 3.3: a feature of smoke detectors, from memory)', () => {
    const lines = told(
      verified,
      [
        [100, made(at.heat)],
        [100, made(at.pull)],
      ],
      300,
    );

    expect(moments(lines, 'manual-pull 1 active')).toEqual([100.25]);
    expect(moments(lines, 'heat 2 active')).toEqual([100.25]);
  });
});

describe('crossed zones', () => {
  const crossed = programme('{ releaseDelaySeconds: 5 }', { crossZoned: true });
  const released_s = (acts: readonly Act[]): readonly number[] =>
    moments(told(crossed, acts, 500), 'circuit energized');

  it('give an alarm and no release when one is in alarm', () => {
    const lines = told(crossed, [[100, made(at.heat)]], 500);

    expect(moments(lines, 'panel-alarm active')).toEqual([100.25]);
    expect(moments(lines, 'circuit energized')).toEqual([]);
  });

  it('release once two are in alarm, the delay counted from the second', () => {
    expect(
      released_s([
        [100, made(at.heat)],
        [200, made(at.smoke)],
      ]),
    ).toEqual([205.3]);
  });

  it('count a zone that has restored, since its alarm is held', () => {
    expect(
      released_s([
        [100, made(at.heat)],
        [110, back(at.heat)],
        [200, made(at.smoke)],
      ]),
    ).toEqual([205.3]);
  });

  it('count no zone from before a reset', () => {
    const acts: readonly Act[] = [
      [100, made(at.heat)],
      [110, back(at.heat)],
      [150, reset],
      [200, made(at.smoke)],
    ];

    expect(released_s(acts)).toEqual([]);
  });

  it('leave a pull station to release by itself (common practice)', () => {
    expect(released_s([[100, made(at.pull)]])).toEqual([105.3]);
  });

  it('do not count two points of one zone twice', () => {
    const contacts = crossed.contacts.map((each) => ({ ...each, zone: 1 }));

    const lines = told(
      { ...crossed, contacts },
      [
        [100, made(at.heat)],
        [101, made(at.smoke)],
      ],
      500,
    );

    expect(moments(lines, 'circuit energized')).toEqual([]);
  });
});

describe('the release', () => {
  it('is not given while it is disconnected, and is given at once when the switch is closed on a held alarm', () => {
    const acts: readonly Act[] = [
      [50, disconnect(true)],
      [100, made(at.heat)],
      [200, disconnect(false)],
    ];

    expect(moments(told(programme(), acts, 300), 'circuit energized')).toEqual([200]);
  });

  it('drops at once when it is disconnected', () => {
    const acts: readonly Act[] = [
      [100, made(at.heat)],
      [200.01, disconnect(true)],
    ];

    expect(moments(told(programme(), acts, 300), 'circuit at rest')).toEqual([200.01]);
  });

  it('is disconnected as well by the contact of the switch', () => {
    const acts: readonly Act[] = [
      [50, made(at.disconnect)],
      [100, made(at.heat)],
    ];

    expect(moments(told(programme(), acts, 300), 'circuit energized')).toEqual([]);
  });

  it('is not given, nor reported as given, through an open or shorted circuit', () => {
    for (const fault of ['open', 'short'] as const) {
      const lines = told(
        programme(),
        [
          [50, wiring('release', fault)],
          [100, made(at.heat)],
        ],
        300,
      );

      expect(lines).toEqual([
        '60.25 release-circuit active',
        '60.25 panel-trouble active',
        '100.25 horns on',
        '100.25 heat 2 active',
        '100.25 panel-alarm active',
      ]);
    }
  });

  it('is not given when a reset comes within its delay', () => {
    const acts: readonly Act[] = [
      [100, made(at.heat)],
      [105, back(at.heat)],
      [120, reset],
    ];

    expect(moments(told(programme('{ releaseDelaySeconds: 30 }'), acts, 300), 'circuit energized')).toEqual([]);
  });

  it('does not wait for its device to stay in alarm, nor for the horns', () => {
    const acts: readonly Act[] = [
      [100, made(at.heat)],
      [105, back(at.heat)],
      [110, silence],
    ];

    expect(moments(told(programme('{ releaseDelaySeconds: 30 }'), acts, 300), 'circuit energized')).toEqual([130.3]);
  });
});

describe('silence', () => {
  it('turns off the horns and nothing else', () => {
    const acts: readonly Act[] = [
      [100, made(at.heat)],
      [200, silence],
      [210, silence],
    ];

    expect(told(programme(), acts, 300).slice(5)).toEqual(['200 silence performed', '200 horns off']);
  });

  it('ends with an alarm from another point (NFPA 72, 10.13 and 23.8.2; the resounding from memory)', () => {
    const acts: readonly Act[] = [
      [100, made(at.heat)],
      [200, silence],
      [300, made(at.waterflow)],
    ];

    expect(moments(told(programme(), acts, 400), 'horns on')).toEqual([100.25, 300.25]);
  });

  it('is not ended by the point that was silenced acting again before the reset (FACTS 1.15)', () => {
    const acts: readonly Act[] = [
      [100, made(at.heat)],
      [200, silence],
      [300, back(at.heat)],
      [400, made(at.heat)],
    ];

    expect(moments(told(programme(), acts, 500), 'horns on')).toEqual([100.25]);
  });
});
