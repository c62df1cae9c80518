import { inUnit } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import {
  bleedDown_s,
  boreArea_m2,
  defaultFigures,
  drainTime_s,
  heldPressure_Pa,
  leakingChamber_Pa,
  orificeConstant_m3_s_sqrtPa,
  passThroughOpening_s,
  polytropicBleedDown_s,
  pushShut_s,
  refill_s,
  sweptVolume_m3,
  tripPressure_Pa,
} from '../src/index.ts';
import { si } from './units.ts';

/* Own evaluations for the default riser unless another source stands beside the check. */
const figures = defaultFigures;
const line = {
  volume_m3: figures.alarmLine.volume_m3,
  hole_m3_s_sqrtPa: orificeConstant_m3_s_sqrtPa(figures.alarmLine.hole),
};
const priming = {
  source_Pa: si('100 psi'),
  crack_Pa: si('0.5 psi'),
  orifice_m3_s_sqrtPa: orificeConstant_m3_s_sqrtPa(figures.prime),
};
const fall = (from: string, to: string) => ({ from_Pa: si(from), to_Pa: si(to) });

describe('the alarm line', () => {
  it.each([
    ['100 psi', '3 psi', 22.5],
    ['40 psi', '3 psi', 20.4],
    ['175 psi', '3 psi', 23.0],
    ['100 psi', '1 psi', 31.6],
    ['100 psi', '6 psi', 15.7],
  ])('bleeds from %s to %s', (from, to, own_s) => {
    expect(bleedDown_s(line, fall(from, to))).toBeCloseTo(own_s, 1);
  });

  it('bleeds by the polytrope as by the closed form when its air is isothermal', () => {
    const isothermal = { polytropicExponent: 1, before: 'filled-along' } as const;

    const byQuadrature_s = polytropicBleedDown_s(line, fall('100 psi', '3 psi'), isothermal);

    expect(byQuadrature_s).toBeCloseTo(bleedDown_s(line, fall('100 psi', '3 psi')), 6);
  });

  it.each([
    ['filled-along', 1.2, -0.07],
    ['filled-along', 1.4, -0.135],
    ['held', 1.2, -0.34],
    ['held', 1.4, -0.52],
  ] as const)('bleeds sooner with its air %s at exponent %d', (before, polytropicExponent, own_share) => {
    const [down, isothermal_s] = [fall('100 psi', '3 psi'), bleedDown_s(line, fall('100 psi', '3 psi'))];

    const share = polytropicBleedDown_s(line, down, { polytropicExponent, before }) / isothermal_s - 1;

    expect(share).toBeCloseTo(own_share, 2);
  });

  it('is held at the switch by a leaking test valve of Cv 0.0187, and above its return by 0.0143', () => {
    expect(inUnit(heldPressure_Pa(line, si('0.0187 gpm/psi^0.5'), si('100 psi')), 'psi')).toBeCloseTo(5, 1);
    expect(inUnit(heldPressure_Pa(line, si('0.0143 gpm/psi^0.5'), si('100 psi')), 'psi')).toBeCloseTo(3, 1);
  });

  it('never bleeds through a plugged hole', () => {
    expect(bleedDown_s({ ...line, hole_m3_s_sqrtPa: 0 }, fall('100 psi', '3 psi'))).toBe(Number.POSITIVE_INFINITY);
  });
});

describe('the priming chamber', () => {
  it('is back at 80 psi 0.106 s after a purge, 6.7 s after its swept volume filled with air', () => {
    const purged = { ...fall('0 psi', '80 psi'), air_m3: figures.chamber.trappedAir_m3 };
    const unpurged_m3 = sweptVolume_m3(figures.delugeValve) * (1 - si('0.77 psi') / 101_325);
    const unpurged = { from_Pa: -si('0.77 psi'), to_Pa: si('80 psi'), air_m3: unpurged_m3 };

    expect(refill_s(priming, purged)).toBeCloseTo(0.106, 3);
    expect(refill_s(priming, unpurged)).toBeCloseTo(6.7, 1);
  });

  it('never reaches a pressure its source does not have', () => {
    expect(refill_s(priming, { ...fall('0 psi', '99.6 psi'), air_m3: 1e-5 })).toBe(Number.POSITIVE_INFINITY);
  });

  it.each([
    ['0.09375 in', 12.4],
    ['0.125 in', 7.0],
    ['0.1875 in', 3.1],
  ])('needs its time to push the clapper shut through %s', (bore, own_s) => {
    const orifice_m3_s_sqrtPa = orificeConstant_m3_s_sqrtPa({ ...figures.prime, bore_m: si(bore) });

    expect(pushShut_s(figures.delugeValve, { ...priming, orifice_m3_s_sqrtPa })).toBeCloseTo(own_s, 1);
  });

  it('stands at the low set point under a leak of Cv 0.165, and where the valve trips under 0.226', () => {
    const low_psi = inUnit(leakingChamber_Pa(priming, si('0.165 gpm/psi^0.5')), 'psi');
    const trip_psi = inUnit(leakingChamber_Pa(priming, si('0.226 gpm/psi^0.5')), 'psi');

    expect(low_psi).toBeCloseTo(75, 0);
    expect(trip_psi).toBeCloseTo(inUnit(tripPressure_Pa(figures.delugeValve, si('100 psi')), 'psi'), 0);
  });

  it('has its set point above the trip pressure, or it could not warn', () => {
    const trip_Pa = tripPressure_Pa(figures.delugeValve, figures.supply.static_Pa);

    expect(figures.switches.primeLow.acts_Pa).toBeGreaterThan(1.1 * trip_Pa);
  });
});

describe('a valve that opens linearly', () => {
  it('passes half its full flow while it opens', () => {
    expect(passThroughOpening_s(0.5, 1, 1)).toBe(1);
    expect(passThroughOpening_s(0.125, 1, 1)).toBe(0.5);
    expect(passThroughOpening_s(2.5, 1, 1)).toBe(3);
  });
});

describe('the riser', () => {
  it('drains through both drains to 2 psi in 13.1 s', () => {
    const outlet_m3_s_sqrtPa = si('48.7 gpm/psi^0.5');
    const foot_m = si('2 psi') / (998.2 * 9.80665);

    expect(drainTime_s({ bore_m: si('6.065 in'), outlet_m3_s_sqrtPa }, si('20 ft'), foot_m)).toBeCloseTo(13.1, 1);
  });

  it('holds its height times its bore', () => {
    expect(boreArea_m2(si('6.065 in')) * si('20 ft')).toBeCloseTo(0.1136, 4);
  });
});
