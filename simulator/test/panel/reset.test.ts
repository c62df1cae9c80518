import { describe, expect, it } from 'vitest';
import { operatePanel, panelFront } from '../../src/index.ts';
import { at, back, made, moments, play, programme, reset, spoken, told, wiring } from './told.ts';
import type { Act } from './told.ts';

describe('a reset', () => {
  it('is refused while a device is active where the programme says so: nothing changes and nothing is published', () => {
    const refusing = programme('{ refusesResetWhileActive: true }');
    const acts: readonly Act[] = [
      [100, made(at.heat)],
      [110, made(at.waterflow)],
      [200, reset],
    ];

    const { outputs, panel } = play(refusing, acts, 300);

    expect(outputs.at(-1)).toEqual({ at_s: 200, type: 'reset-refused', points: [at.heat, at.waterflow] });
    expect(panelFront(panel).active).toEqual(['heat', 'waterflow', 'solenoid']);
  });

  it('is performed by the same programme once every device has restored', () => {
    const refusing = programme('{ refusesResetWhileActive: true }');
    const acts: readonly Act[] = [
      [100, made(at.heat)],
      [150, back(at.heat)],
      [160, made(at.supply)],
      [200, reset],
    ];

    expect(moments(told(refusing, acts, 300), 'reset performed')).toEqual([200]);
  });

  it('does not restore, and does not announce anew before its time, a supervisory point that still is off normal', () => {
    const lines = told(
      programme(),
      [
        [100, made(at.supply)],
        [200, reset],
      ],
      300,
    );

    expect(lines).toEqual([
      '100.25 supply-valve 5 active',
      '100.25 panel-supervisory active',
      '200 reset performed',
      '200 panel-supervisory restored',
      '202 supply-valve 5 active',
      '202 panel-supervisory active',
    ]);
  });

  it('announces standing troubles anew as well', () => {
    const lines = told(
      programme(),
      [
        [100, wiring('release', 'open')],
        [200, reset],
      ],
      300,
    );

    expect(moments(lines, 'release-circuit active')).toEqual([110.25, 202]);
    expect(moments(lines, 'panel-trouble restored')).toEqual([200]);
  });

  it('that settles at once has everything done in the same operation', () => {
    const { panel } = play(programme('{ resetSettleSeconds: 0 }'), [[100, made(at.supply)]], 200);

    const { outputs } = operatePanel(panel, 200, reset);

    expect(outputs.map(spoken)).toContain('200 supply-valve 5 active');
  });

  it('lets a point that clears while it settles restore, and does not announce it anew', () => {
    const lines = told(
      programme('{ restorals: reset }'),
      [
        [100, made(at.heat)],
        [200, reset],
        [201, back(at.heat)],
      ],
      300,
    );

    expect(moments(lines, 'heat 2 restored')).toEqual([201.25]);
    expect(moments(lines, 'heat 2 active')).toEqual([100.25]);
    expect(moments(lines, 'circuit energized')).toEqual([100.3]);
  });

  it('does not keep a new alarm waiting while it settles', () => {
    const lines = told(
      programme(),
      [
        [200, reset],
        [200.5, made(at.pull)],
      ],
      300,
    );

    expect(moments(lines, 'manual-pull 1 active')).toEqual([200.75]);
  });

  it('neither releases again for a device that an open circuit hides, nor restores it', () => {
    const acts: readonly Act[] = [
      [100, made(at.heat)],
      [150, wiring(at.heat, 'open')],
      [200, reset],
      [300, back(at.heat)],
      [400, wiring(at.heat)],
    ];

    const lines = told(programme(), acts, 500);

    expect(moments(lines, 'circuit energized')).toEqual([100.3]);
    expect(moments(lines, 'heat 2 restored')).toEqual([400.25]);
  });

  it('finds a device again that its circuit no longer hides', () => {
    const acts: readonly Act[] = [
      [100, made(at.heat)],
      [150, wiring(at.heat, 'open')],
      [200, reset],
      [400, wiring(at.heat)],
    ];

    expect(moments(told(programme(), acts, 500), 'heat 2 active')).toEqual([100.25, 400.25]);
  });

  it('begins a running retard anew', () => {
    const lines = told(
      programme('{ waterflowRetardSeconds: 60 }'),
      [
        [100, made(at.waterflow)],
        [140, reset],
      ],
      300,
    );

    expect(moments(lines, 'waterflow 4 active')).toEqual([200.25]);
  });

  it('does not put off the word of lost primary power', () => {
    const acts: readonly Act[] = [
      [100, { type: 'power', source: 'ac', good: false }],
      [2_000, reset],
    ];

    expect(moments(told(programme(), acts, 5_000), 'ac-power active')).toEqual([3_700.25]);
  });
});

describe('a supervisory point', () => {
  it('clears by itself, or is held until a reset, as programmed (NFPA 72, 10.14; FACTS 1.10)', () => {
    const acts: readonly Act[] = [
      [100, made(at.supply)],
      [200, back(at.supply)],
      [300, reset],
    ];

    expect(moments(told(programme(), acts, 400), 'supply-valve 5 restored')).toEqual([200.25]);
    expect(moments(told(programme('{ supervisoryRestorals: reset }'), acts, 400), 'supply-valve 5 restored')).toEqual([
      300,
    ]);
  });
});
