import { describe, expect, it } from 'vitest';
import { at, back, made, programme, reset, silence, told } from './told.ts';
import type { Act } from './told.ts';

/** A trip as the field sees it; the contacts follow the release as the catalogue's healthy pattern has them (MODEL 4). */
const trip: readonly Act[] = [
  [30, made(at.heat)],
  [30.31, made(at.prime)],
  [30.78, made(at.waterflow)],
  [60, silence],
  [900, made(at.supply)],
  [1000, back(at.waterflow)],
];

describe('the story of a trip', () => {
  it('is told with its contacts by a panel whose points restore by themselves', () => {
    const acts: readonly Act[] = [
      ...trip,
      [1100, back(at.heat)],
      [1200, reset],
      [1200.17, back(at.prime)],
      [1500, back(at.supply)],
      [1600, reset],
    ];

    expect(told(programme(), acts, 2_000)).toEqual([
      '30.25 horns on',
      '30.25 heat 2 active',
      '30.25 panel-alarm active',
      '30.3 circuit energized',
      '30.3 solenoid 7 active',
      '30.5 prime-pressure-low 6 active',
      '30.5 panel-supervisory active',
      '31 waterflow 4 active',
      '60 silence performed',
      '60 horns off',
      '900.25 supply-valve 5 active',
      '1000.25 waterflow 4 restored',
      '1100.25 heat 2 restored',
      '1200 reset performed',
      '1200 circuit at rest',
      '1200 solenoid 7 restored',
      '1200 panel-alarm restored',
      '1200 panel-supervisory restored',
      '1200.25 prime-pressure-low 6 restored',
      '1202 supply-valve 5 active',
      '1202 panel-supervisory active',
      '1500.25 supply-valve 5 restored',
      '1500.25 panel-supervisory restored',
      '1600 reset performed',
    ]);
  });

  it('is told by its resets where points latch, and never restores what still is off normal', () => {
    const acts: readonly Act[] = [
      ...trip,
      [1200, reset],
      [1200.17, back(at.prime)],
      [1300, back(at.heat)],
      [1400, reset],
      [1500, back(at.supply)],
      [1600, reset],
    ];

    expect(told(programme('{ restorals: reset, supervisoryRestorals: reset }'), acts, 2_000).slice(11)).toEqual([
      '1200 reset performed',
      '1200 circuit at rest',
      '1200 solenoid 7 restored',
      '1200 waterflow 4 restored',
      '1200 panel-alarm restored',
      '1200 panel-supervisory restored',
      '1200.25 prime-pressure-low 6 restored',
      '1202 horns on',
      '1202 heat 2 active',
      '1202 supply-valve 5 active',
      '1202 panel-alarm active',
      '1202 panel-supervisory active',
      '1202.05 circuit energized',
      '1202.05 solenoid 7 active',
      '1400 reset performed',
      '1400 horns off',
      '1400 circuit at rest',
      '1400 solenoid 7 restored',
      '1400 heat 2 restored',
      '1400 panel-alarm restored',
      '1400 panel-supervisory restored',
      '1402 supply-valve 5 active',
      '1402 panel-supervisory active',
      '1600 reset performed',
      '1600 supply-valve 5 restored',
      '1600 panel-supervisory restored',
    ]);
  });

  it('begins again at once when the panel is reset with the device still in alarm', () => {
    const acts: readonly Act[] = [
      [30, made(at.pull)],
      [100, reset],
    ];

    // EN 54-2, 7.6: what holds is there again within 20 s (from memory, FACTS 4.03). 2 s: MODEL 4.6 C6.
    expect(told(programme(), acts, 200).slice(5)).toEqual([
      '100 reset performed',
      '100 horns off',
      '100 circuit at rest',
      '100 solenoid 7 restored',
      '100 panel-alarm restored',
      '102 horns on',
      '102 manual-pull 1 active',
      '102 panel-alarm active',
      '102.05 circuit energized',
      '102.05 solenoid 7 active',
    ]);
  });
});
