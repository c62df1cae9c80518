import {
  atmosphere_Pa,
  boreArea_m2,
  butterflyLossAt,
  columnPressure_Pa,
  controlArea_m2,
  minorLossConstant_m3_s_sqrtPa,
  orificeConstant_m3_s_sqrtPa,
  outletCurve,
  pipingVolume_m3,
  riserVolume_m3,
  sweptVolume_m3,
} from '@tidemark/hydraulics';
import type { RiserFigures } from '@tidemark/hydraulics';
import { contactNames, valveNames } from './names.ts';
import { stable } from './power.ts';

/** How one contact acts: above its set point (waterflow) or below it (all others), and what may falsify it. */
export interface ContactParameters {
  readonly actsAbove: boolean;
  readonly acts: number;
  readonly returns: number;
  readonly retard_s: number;
  readonly stuck: 'active' | 'restored' | undefined;
  readonly chatter: { readonly pairs: number; readonly seed: number } | undefined;
}

/** How one valve turns and what it passes. */
export interface ValveParameters {
  readonly stroke_s: number;
  readonly stuckAt: number | undefined;
  readonly open_m3_s_sqrtPa: number;
  readonly passing_m3_s_sqrtPa: number;
}

/**
 * The constants of the equations, SI, derived once from figures and faults so that a step is arithmetic and square roots
 * only. Flow constants (`Q = K √Δp`) are m³/s/√Pa.
 */
export interface Parameters {
  readonly supply: {
    readonly static_Pa: number;
    readonly drop_Pa: number;
    readonly testFlow_m3_s: number;
    readonly shift_Pa: number;
  };
  /** Flow constant of the supply valve over its opening, in even steps from shut to open. */
  readonly supplyValve: readonly number[];
  readonly clapper: {
    readonly seatArea_m2: number;
    readonly controlArea_m2: number;
    readonly swept_m3: number;
    readonly closingForce_N: number;
    readonly springRise_N: number;
    readonly open_m3_s_sqrtPa: number;
    readonly seatLeak_m3_s_sqrtPa: number;
    readonly stuck: 'shut' | 'open' | undefined;
  };
  readonly chamber: { readonly volume_m3: number; readonly airFloor_J: number; readonly leak_m3_s_sqrtPa: number };
  readonly prime: {
    readonly open_m3_s_sqrtPa: number;
    readonly crack_Pa: number;
    readonly checkLeak_m3_s_sqrtPa: number;
    readonly upstream: boolean;
  };
  readonly relief: {
    readonly open_m3_s_sqrtPa: number;
    readonly leak_m3_s_sqrtPa: number;
    readonly stuck: 'open' | 'shut' | undefined;
    readonly opens_Pa: number;
    readonly shuts_Pa: number;
  };
  readonly piping: {
    readonly column_Pa: number;
    readonly riser_m3: number;
    readonly total_m3: number;
    readonly fill_Pa_s2_m6: number;
    /** Loss of the full piping at the supply's test flow: the square and the friction share. */
    readonly square_Pa: number;
    readonly friction_Pa: number;
    /** Flow constant of all nozzles together while the piping is not full. */
    readonly nozzles_m3_s_sqrtPa: number;
  };
  readonly drip: { readonly open_m3_s_sqrtPa: number; readonly shuts_Pa: number };
  readonly supplyDrainUpstream: boolean;
  readonly alarmLine: {
    readonly volume_m3: number;
    readonly hole_m3_s_sqrtPa: number;
    readonly check_m3_s_sqrtPa: number;
    readonly checkLeak_m3_s_sqrtPa: number;
    readonly crack_Pa: number;
    readonly bleedsToOutlet: boolean;
    readonly testUpstream: boolean;
    readonly isolates: 'switch' | 'line';
  };
  readonly valves: readonly ValveParameters[];
  readonly contacts: readonly ContactParameters[];
}

/** Steps of the supply valve's table: a quarter of a degree. */
const supplyValveSteps = 360;

/** The parameters of a sound riser. */
export function soundParameters(figures: RiserFigures): Parameters {
  const { alarmLine, chamber, delugeValve, drains, prime, release, supply, supplyValve } = figures;
  return {
    supply: {
      static_Pa: supply.static_Pa,
      drop_Pa: supply.static_Pa - supply.residual_Pa,
      testFlow_m3_s: supply.residualFlow_m3_s,
      shift_Pa: 0,
    },
    supplyValve: Array.from({ length: supplyValveSteps + 1 }, (_, step) => {
      const loss = butterflyLossAt(step / supplyValveSteps, supplyValve.openLoss);
      return stable(minorLossConstant_m3_s_sqrtPa(supplyValve.bore_m, loss));
    }),
    clapper: {
      seatArea_m2: stable(boreArea_m2(delugeValve.seat_m)),
      controlArea_m2: stable(controlArea_m2(delugeValve)),
      swept_m3: stable(sweptVolume_m3(delugeValve)),
      closingForce_N: delugeValve.closingForce_N,
      springRise_N: delugeValve.springRise_N,
      open_m3_s_sqrtPa: stable(minorLossConstant_m3_s_sqrtPa(supplyValve.bore_m, delugeValve.openLoss)),
      seatLeak_m3_s_sqrtPa: 0,
      stuck: undefined,
    },
    chamber: {
      volume_m3: chamber.volume_m3,
      airFloor_J: chamber.trappedAir_m3 * atmosphere_Pa,
      leak_m3_s_sqrtPa: 0,
    },
    prime: {
      open_m3_s_sqrtPa: stable(orificeConstant_m3_s_sqrtPa(prime)),
      crack_Pa: prime.checkCrack_Pa,
      checkLeak_m3_s_sqrtPa: 0,
      upstream: prime.source === 'upstream',
    },
    relief: {
      open_m3_s_sqrtPa: release.relief_m3_s_sqrtPa,
      leak_m3_s_sqrtPa: 0,
      stuck: undefined,
      opens_Pa: release.reliefOpens_Pa,
      shuts_Pa: release.reliefShuts_Pa,
    },
    piping: pipingParameters(figures),
    drip: { open_m3_s_sqrtPa: drains.drip_m3_s_sqrtPa, shuts_Pa: drains.dripShuts_Pa },
    supplyDrainUpstream: drains.supplySide === 'upstream',
    alarmLine: {
      volume_m3: alarmLine.volume_m3,
      hole_m3_s_sqrtPa: stable(orificeConstant_m3_s_sqrtPa(alarmLine.hole)),
      check_m3_s_sqrtPa: alarmLine.forwardCheck_m3_s_sqrtPa,
      checkLeak_m3_s_sqrtPa: 0,
      crack_Pa: alarmLine.checkCrack_Pa,
      bleedsToOutlet: alarmLine.bleedsTo === 'outlet',
      testUpstream: alarmLine.testSource === 'upstream',
      isolates: alarmLine.isolates,
    },
    valves: valveParameters(figures),
    contacts: contactParameters(figures),
  };
}

/** The piping's constants, its nozzles' loss scaled by a factor (obstructed above 1, broken below). */
export function pipingParameters(figures: RiserFigures, nozzleFactor = 1): Parameters['piping'] {
  const curve = outletCurve(figures);
  const flow_m3_s = figures.supply.residualFlow_m3_s;
  const square_Pa = curve.a * nozzleFactor * flow_m3_s ** 2;
  const friction_Pa = Math.max(0, curve.b) * flow_m3_s ** 1.85;
  return {
    column_Pa: stable(columnPressure_Pa(figures.piping.riser.height_m)),
    riser_m3: stable(riserVolume_m3(figures)),
    total_m3: stable(pipingVolume_m3(figures)),
    fill_Pa_s2_m6: figures.piping.fillResistance_Pa_s2_m6,
    square_Pa: stable(square_Pa),
    friction_Pa: stable(friction_Pa),
    nozzles_m3_s_sqrtPa: stable(flow_m3_s / Math.sqrt(square_Pa + friction_Pa)),
  };
}

function valveParameters(figures: RiserFigures): readonly ValveParameters[] {
  const { alarmLine, drains, handValveStroke_s, release, supplyValve } = figures;
  const hand = { stroke_s: handValveStroke_s, stuckAt: undefined, passing_m3_s_sqrtPa: 0 };
  const table = {
    supply: { ...hand, stroke_s: supplyValve.stroke_s, open_m3_s_sqrtPa: 0 },
    prime: { ...hand, open_m3_s_sqrtPa: 1 },
    solenoid: { ...hand, stroke_s: release.solenoidStroke_s, open_m3_s_sqrtPa: release.solenoid_m3_s_sqrtPa },
    'manual-release': { ...hand, stroke_s: 0.1, open_m3_s_sqrtPa: release.manual_m3_s_sqrtPa },
    'system-drain': { ...hand, open_m3_s_sqrtPa: drains.system_m3_s_sqrtPa },
    'supply-drain': { ...hand, open_m3_s_sqrtPa: drains.supply_m3_s_sqrtPa },
    'auxiliary-drain': { ...hand, open_m3_s_sqrtPa: drains.auxiliary_m3_s_sqrtPa },
    'alarm-test': { ...hand, open_m3_s_sqrtPa: alarmLine.testValve_m3_s_sqrtPa },
    'alarm-line': { ...hand, open_m3_s_sqrtPa: 1 },
  };
  return valveNames.map((name) => table[name]);
}

function contactParameters({ supplyValve, switches }: RiserFigures): readonly ContactParameters[] {
  const sound = { stuck: undefined, chatter: undefined };
  const pressure = (actsAbove: boolean, { acts_Pa, returns_Pa, retard_s }: RiserFigures['switches']['waterflow']) => ({
    ...sound,
    actsAbove,
    acts: acts_Pa,
    returns: returns_Pa,
    retard_s,
  });
  const position = {
    ...sound,
    actsAbove: false,
    acts: supplyValve.switchActs,
    returns: supplyValve.switchReturns,
    retard_s: 0,
  };
  const table = {
    waterflow: pressure(true, switches.waterflow),
    'prime-pressure-low': pressure(false, switches.primeLow),
    'supply-pressure-low': pressure(false, switches.supplyLow),
    'supply-valve': position,
    'prime-valve': position,
    'alarm-line-valve': position,
  };
  return contactNames.map((name) => table[name]);
}
