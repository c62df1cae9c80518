import { invariant, parseQuantity } from '@tidemark/kernel';
import type { FigureChanges, PressureSwitch, RiserFigures } from './figures.ts';

const si = (text: string): number => {
  const parsed = parseQuantity(text);
  invariant(parsed.ok, `a default figure is written in a known unit: ${text}`);
  return parsed.value.si;
};

/** Set points that must keep their distance from the trip pressure and so follow the static pressure. */
const supervision = (static_Pa: number): { readonly primeLow: PressureSwitch; readonly supplyLow: PressureSwitch } => ({
  primeLow: { acts_Pa: 0.75 * static_Pa, returns_Pa: 0.8 * static_Pa, retard_s: 0 },
  supplyLow: { acts_Pa: 0.3 * static_Pa, returns_Pa: 0.35 * static_Pa, retard_s: 2 },
});

/**
 * One 6-inch riser with 20 open K5.6 nozzles. After each group: where its figures are from. [std] a published standard,
 * [page] a page read for this project, [memory] textbook knowledge not read again, [choice] an engineering assumption of
 * this project, to be calibrated on site. None is a maker's figure.
 */
export const defaultFigures: RiserFigures = {
  // The method of a flow test [std, NFPA 291]; the values [choice].
  supply: { static_Pa: si('100 psi'), residual_Pa: si('80 psi'), residualFlow_m3_s: si('1000 gpm') },
  // Bore of 6-in schedule 40 [memory]; open loss 0.2..0.6 [page]; turning time 5..40 s [choice]; the switch acts within
  // two turns or a fifth of the travel [std, NFPA 72; page], the value [choice], and restores fully open only [page].
  supplyValve: { bore_m: si('6.065 in'), openLoss: 0.5, stroke_s: 15, switchActs: 0.9, switchReturns: 0.99 },
  // [choice]: ratio 1.2..2.5, stroke 0.2..0.35 of the seat (a quarter opens the full curtain area, textbook), spring
  // 50..400 N; open loss between a swing check (2) and a globe (10) [page].
  delugeValve: {
    seat_m: si('150 mm'),
    areaRatio: 1.6,
    stroke_m: si('45 mm'),
    closingForce_N: 150,
    springRise_N: 100,
    openLoss: 3,
  },
  // [choice]: 1..8 L, and 0.005..0.3 L of air.
  chamber: { volume_m3: si('3 L'), trappedAir_m3: si('0.02 L') },
  // Bore 3/32..3/16 in and crack 0.2..2 psi [choice]; coefficient of a small orifice 0.60..0.75 [memory, textbook].
  prime: {
    bore_m: si('0.125 in'),
    dischargeCoefficient: 0.62,
    checkCrack_Pa: si('0.5 psi'),
    source: 'upstream',
  },
  // [choice]: solenoid 1.5..6 in 0.03..0.5 s, manual 4..15, relief 1..4; the relief must shut below the riser's column.
  release: {
    solenoid_m3_s_sqrtPa: si('3.5 gpm/psi^0.5'),
    solenoidStroke_s: 0.1,
    manual_m3_s_sqrtPa: si('8 gpm/psi^0.5'),
    relief_m3_s_sqrtPa: si('2 gpm/psi^0.5'),
    reliefOpens_Pa: si('5 psi'),
    reliefShuts_Pa: si('2 psi'),
  },
  // Bores of schedule 40 pipe [memory]; C 120 of 100..150 [page]; lengths [choice]; fill loss [choice], to be fitted to
  // a witnessed trip.
  piping: {
    roughness_C: 120,
    riser: { bore_m: si('6.065 in'), height_m: si('20 ft'), lossCoefficient: 0.5 },
    main: { bore_m: si('4.026 in'), spacing_m: si('10 ft') },
    branch: {
      nozzles: 5,
      boresFromEnd_m: [si('1.049 in'), si('1.38 in'), si('1.61 in'), si('2.067 in')],
      first_m: si('5 ft'),
      spacing_m: si('10 ft'),
    },
    fillResistance_Pa_s2_m6: (1.2e-5 * si('1 psi')) / si('1 gpm') ** 2,
  },
  // The commonest constant of an open nozzle [std, NFPA 13: 5.6 nominal]; the count [choice].
  nozzles: { count: 20, k_m3_s_sqrtPa: si('5.6 gpm/psi^0.5') },
  // 2-in drain for risers of 4 in and larger [memory, NFPA 13] through a path of loss 8 [choice]; 3/4-in auxiliary and
  // drip [choice].
  drains: {
    system_m3_s_sqrtPa: si('42 gpm/psi^0.5'),
    supply_m3_s_sqrtPa: si('42 gpm/psi^0.5'),
    supplySide: 'downstream',
    auxiliary_m3_s_sqrtPa: si('6.7 gpm/psi^0.5'),
    drip_m3_s_sqrtPa: si('0.5 gpm/psi^0.5'),
    dripShuts_Pa: si('3 psi'),
  },
  // Half-inch line of 3 m [choice]; hole 1/32..3/32 in [choice], coefficient of a thick drilled hole 0.60..0.80 [page];
  // valves [choice].
  alarmLine: {
    volume_m3: si('0.6 L'),
    hole: { bore_m: si('0.0625 in'), dischargeCoefficient: 0.7 },
    bleedsTo: 'outlet',
    testValve_m3_s_sqrtPa: si('4 gpm/psi^0.5'),
    testSource: 'upstream',
    forwardCheck_m3_s_sqrtPa: si('5 gpm/psi^0.5'),
    checkCrack_Pa: si('0.5 psi'),
    isolates: 'switch',
  },
  // A quarter turn by hand [choice].
  handValveStroke_s: 0.5,
  // Waterflow set points 4..8 over 2..6 psi [choice], its delay within 90 s [std, NFPA 72]; the other set points follow
  // from the trip pressure, which lies at 1/1.6 of the static pressure (own derivation).
  switches: {
    waterflow: { acts_Pa: si('5 psi'), returns_Pa: si('3 psi'), retard_s: 0 },
    ...supervision(si('100 psi')),
  },
};

/**
 * The default riser with some figures changed. The set points of priming and supply supervision follow the static
 * pressure unless they are given: an absolute default would lie below the trip pressure of a stronger supply and so
 * could not warn.
 */
export function figuresWith(changes: FigureChanges): RiserFigures {
  const base = defaultFigures;
  const supply = { ...base.supply, ...changes.supply };
  return {
    supply,
    supplyValve: { ...base.supplyValve, ...changes.supplyValve },
    delugeValve: { ...base.delugeValve, ...changes.delugeValve },
    chamber: { ...base.chamber, ...changes.chamber },
    prime: { ...base.prime, ...changes.prime },
    release: { ...base.release, ...changes.release },
    piping: { ...base.piping, ...changes.piping },
    nozzles: { ...base.nozzles, ...changes.nozzles },
    drains: { ...base.drains, ...changes.drains },
    alarmLine: { ...base.alarmLine, ...changes.alarmLine },
    handValveStroke_s: changes.handValveStroke_s ?? base.handValveStroke_s,
    switches: { ...base.switches, ...supervision(supply.static_Pa), ...changes.switches },
  };
}
