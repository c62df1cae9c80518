import { describe, expect, it } from 'vitest';
import { createPanel, operatePanel, panelFront, panelSettings, panelWake, wiredPoints } from '../../src/index.ts';
import type { PanelInput } from '../../src/index.ts';
import { at, back, made, moments, play, power, profileWith, programme, reset, told, wiring } from './told.ts';
import type { Act } from './told.ts';

describe('a circuit', () => {
  it('that is open gives trouble and hides its device', () => {
    expect(
      told(
        programme(),
        [
          [100, wiring(at.heat, 'open')],
          [200, made(at.heat)],
        ],
        300,
      ),
    ).toEqual(['110.25 initiating-circuit active', '110.25 panel-trouble active']);
  });

  it('that is shorted is taken for its device (common practice on two-wire circuits)', () => {
    expect(moments(told(programme(), [[100, wiring(at.heat, 'short')]], 300), 'heat 2 active')).toEqual([100.25]);
  });

  it('of two open ones keeps the trouble until both are whole', () => {
    const acts: readonly Act[] = [
      [100, wiring(at.heat, 'open')],
      [200, wiring(at.pull, 'open')],
      [300, wiring(at.heat)],
      [400, wiring(at.pull)],
    ];

    expect(told(programme(), acts, 500)).toEqual([
      '110.25 initiating-circuit active',
      '110.25 panel-trouble active',
      '410.25 initiating-circuit restored',
      '410.25 panel-trouble restored',
    ]);
  });
});

describe('power', () => {
  it('from either source keeps the release energized', () => {
    const acts: readonly Act[] = [
      [100, made(at.heat)],
      [200, power('ac', false)],
    ];

    expect(moments(told(programme(), acts, 1_000), 'circuit at rest')).toEqual([]);
  });

  it('lost altogether drops the release at once and silences the panel', () => {
    const acts: readonly Act[] = [
      [100, made(at.heat)],
      [200, power('ac', false)],
      [300.01, power('battery', false)],
      [400, made(at.supply)],
      [410, reset],
    ];

    const { panel } = play(programme(), acts, 1e6);

    expect(told(programme(), acts, 1e6).slice(5)).toEqual([
      '300.01 horns off',
      '300.01 circuit at rest',
      '300.01 panel down',
    ]);
    expect(panelFront(panel)).toEqual({ alarm: false, supervisory: false, trouble: false, active: [] });
    expect(panelWake(panel)).toBeUndefined();
  });

  it('that returns starts the panel, which tells what it finds and restores what it no longer finds', () => {
    const acts: readonly Act[] = [
      [100, made(at.heat)],
      [100, made(at.supply)],
      [200, power('ac', false)],
      [300, power('battery', false)],
      [400, back(at.supply)],
      [500, power('ac', true)],
    ];

    const lines = told(programme(), acts, 1_000);

    expect(lines.slice(lines.indexOf('300 panel down'))).toEqual([
      '300 panel down',
      '510 panel up',
      '510 panel-alarm restored',
      '510 panel-supervisory restored',
      '510 solenoid 7 restored',
      '510 periodic-test active',
      '510 horns on',
      '510 heat 2 active',
      '510 supply-valve 5 restored',
      '510 panel-alarm active',
      '510.05 circuit energized',
      '510.05 solenoid 7 active',
      '520 battery active',
      '520 panel-trouble active',
    ]);
  });

  it('that fails again while the panel starts keeps it down', () => {
    const acts: readonly Act[] = [
      [100, power('battery', false)],
      [200, power('ac', false)],
      [300, power('ac', true)],
      [305, power('ac', false)],
    ];

    expect(moments(told(programme(), acts, 1_000), 'panel up')).toEqual([]);
  });

  it('that returns from a second source as well does not put the start off', () => {
    const acts: readonly Act[] = [
      [100, power('battery', false)],
      [200, power('ac', false)],
      [300, power('ac', true)],
      [305, power('battery', true)],
    ];

    expect(moments(told(programme(), acts, 1_000), 'panel up')).toEqual([310]);
  });

  it('that is lost ends every hold and every wait, and a retard begins anew with the start', () => {
    const acts: readonly Act[] = [
      [100, made(at.waterflow)],
      [129, reset],
      [130, power('battery', false)],
      [130, power('ac', false)],
      [140, power('ac', true)],
    ];
    const settings = programme('{ waterflowRetardSeconds: 60 }');

    expect(panelWake(play(settings, acts.slice(0, 4), 130).panel)).toBeUndefined();
    expect(moments(told(settings, acts, 1_000), 'waterflow 4 active')).toEqual([210]);
  });

  it('that is lost shows at the panel before the station is told', () => {
    const { panel } = play(programme(), [[100, power('ac', false)]], 200);

    expect(panelFront(panel)).toEqual({ alarm: false, supervisory: false, trouble: true, active: ['ac-power'] });
  });
});

describe('the programme', () => {
  it('wires contacts of the plant to the points of the profile, and to none where it has none', () => {
    const settings = panelSettings(profileWith());

    expect(wiredPoints(settings, 'waterflow')).toEqual([at.waterflow]);
    expect(wiredPoints(settings, 'alarm-line-valve')).toEqual([]);
  });

  it('refuses a contact at a point that the panel does not have as a bug of the caller', () => {
    const panel = createPanel(programme(), 0);

    expect(() => operatePanel(panel, 1, made(99))).toThrow('a contact is wired to a point of the panel');
    expect(() => operatePanel(panel, -1, made(at.heat))).toThrow('a panel only goes forward');
  });

  it('has no release where the valve is not released electrically', () => {
    const settings = panelSettings({ ...profileWith(), release: 'wet-pilot' });

    expect(moments(told(settings, [[100, made(at.heat)]], 300), 'circuit energized')).toEqual([]);
  });

  it('publishes no point that the profile lacks: a disconnect switch without one lights its lamp alone', () => {
    const profile = profileWith();
    const bare = { ...profile, points: profile.points.filter(({ signal }) => signal === 'heat') };
    const disconnected: PanelInput = { type: 'switch', switch: 'release-disconnect', on: true };

    const lines = told(
      panelSettings(bare),
      [
        [100, disconnected],
        [200, made(at.heat)],
      ],
      300,
    );

    expect(lines).toEqual([
      '100.25 panel-supervisory active',
      '200.25 horns on',
      '200.25 heat 2 active',
      '200.25 panel-alarm active',
    ]);
  });

  it('passes on the last reading of a gauge with the next scan, in the unit of its point', () => {
    const gauge = (si: number): PanelInput => ({ type: 'reading', point: at.gauge, si });

    const lines = told(
      programme(),
      [
        [50, made(at.prime)],
        [100.05, gauge(7e5)],
        [100.1, gauge(689_475.73)],
        [150, back(at.prime)],
        [200, gauge(0)],
      ],
      300,
    );

    // 100 psi = 689,475.73 Pa (NIST SP 811, appendix B.8).
    expect(lines.filter((line) => line.endsWith('psi'))).toEqual([
      '100.25 prime-pressure 9 100 psi',
      '200.25 prime-pressure 9 0 psi',
    ]);
  });

  it('publishes test mode, which no reset ends', () => {
    const mode = (on: boolean): PanelInput => ({ type: 'switch', switch: 'test-mode', on });

    expect(
      told(
        programme(),
        [
          [100, mode(true)],
          [200, reset],
          [300, mode(false)],
        ],
        400,
      ),
    ).toEqual(['100.25 test-mode active', '200 reset performed', '300.25 test-mode restored']);
  });
});
