import { columnPressure_Pa, columnHeight_m } from './water.ts';
import { bleedDown_s, lineIntake_m3 } from './alarm-line.ts';
import { defaultFigures } from './default-figures.ts';
import { drainTime_s } from './drain.ts';
import type { RiserFigures } from './figures.ts';
import { boreArea_m2, constantFlow_m3_s, orificeConstant_m3_s_sqrtPa } from './orifice.ts';
import { pipingVolume_m3, riserVolume_m3 } from './piping.ts';
import { decompression_m3, passThroughOpening_s, refill_s, sweptVolume_m3, tripPressure_Pa } from './prime-chamber.ts';
import { supplyFlow_m3_s } from './supply-curve.ts';

/** How long after its start an effect may come: not before `min_s`, not after `max_s`. */
export interface Window {
  readonly min_s: number;
  readonly max_s: number;
}

/**
 * The spans of a riser's story that its hydraulics bound, each named start to end. Panel scan and transmission are not
 * in them; whoever judges a signal adds its own.
 */
export const windowNames = [
  'releaseToPrimeLow',
  'releaseToWaterflow',
  'releaseToFullOpen',
  'releaseToPipingFull',
  'drainsOpenToFlowRestored',
  'resetToPrimeRestored',
  'testOpenToWaterflow',
  'testShutToFlowRestored',
  'supplyCloseStroke',
] as const;

/** The name of a window: where it starts and where it ends. */
export type WindowName = (typeof windowNames)[number];

/** Every window of a riser. A window narrowed by an observation replaces its entry. */
export type Windows = Readonly<Record<WindowName, Window>>;

/**
 * The default riser's prior ranges, before any witnessed test: from the first percentile to the maximum of a
 * Latin-hypercube sample of 400 risers over 23 parameters, each in its plausible range (computed by this project with a
 * prototype of the same equations; no published source). The refill goes to 11 s, a chamber that was not purged.
 */
const prior: Windows = {
  releaseToPrimeLow: { min_s: 0.01, max_s: 0.18 },
  releaseToWaterflow: { min_s: 0.49, max_s: 1.68 },
  releaseToFullOpen: { min_s: 0.56, max_s: 2.29 },
  releaseToPipingFull: { min_s: 2.1, max_s: 5 },
  drainsOpenToFlowRestored: { min_s: 10.8, max_s: 66.8 },
  resetToPrimeRestored: { min_s: 0.11, max_s: 11 },
  testOpenToWaterflow: { min_s: 0.18, max_s: 0.46 },
  testShutToFlowRestored: { min_s: 6.3, max_s: 81.4 },
  supplyCloseStroke: { min_s: 5, max_s: 40 },
};

/** The processes that make up the windows, each by its closed form, s. */
interface Spans {
  readonly decompress: number;
  readonly lift: number;
  readonly stroke: number;
  readonly column: number;
  readonly fill: number;
  readonly drain: number;
  readonly bleed: number;
  readonly refillPurged: number;
  readonly refillUnpurged: number;
  readonly lineFill: number;
  readonly solenoid: number;
  readonly handWheel: number;
}

/** Which processes a window is made of. A window over several of them has no single closed form. */
const madeOf: Readonly<
  Record<WindowName, { readonly min: readonly (keyof Spans)[]; readonly max: readonly (keyof Spans)[] }>
> = {
  releaseToPrimeLow: same('decompress'),
  releaseToWaterflow: same('lift', 'stroke', 'column', 'lineFill'),
  releaseToFullOpen: same('lift', 'stroke'),
  releaseToPipingFull: same('lift', 'stroke', 'fill'),
  drainsOpenToFlowRestored: same('drain', 'bleed'),
  resetToPrimeRestored: { min: ['solenoid', 'refillPurged'], max: ['refillUnpurged', 'solenoid'] },
  testOpenToWaterflow: same('lineFill'),
  testShutToFlowRestored: same('bleed'),
  supplyCloseStroke: same('handWheel'),
};

/**
 * Windows of a riser, from its figures alone.
 *
 * Method: each process scales by its closed form, taken for this riser and for the default one. A window made of several
 * processes is a sum; whatever their shares, the sum lies between the smallest and the largest of their ratios, so its
 * lower end takes the smallest and its upper end the largest. That is wider than a simulation of this riser would give,
 * never narrower. The spread of what nobody has measured on site (the prior range) is kept in proportion. The waterflow
 * switch's delay is exact and shifts its windows. What a riser cannot do (bleed through no hole, refill to a pressure it
 * does not have) has an infinite end.
 */
export function predictWindows(figures: RiserFigures): Windows {
  const [here, there] = [spans(figures), spans(defaultFigures)];
  const ratios = (names: readonly (keyof Spans)[]): readonly number[] => names.map((name) => here[name] / there[name]);
  const retard_s = figures.switches.waterflow.retard_s;
  const window = (name: WindowName, shift_s = 0): Window => ({
    min_s: prior[name].min_s * Math.min(...ratios(madeOf[name].min)) + shift_s,
    max_s: prior[name].max_s * Math.max(...ratios(madeOf[name].max)) + shift_s,
  });
  return {
    releaseToPrimeLow: window('releaseToPrimeLow', figures.switches.primeLow.retard_s),
    releaseToWaterflow: window('releaseToWaterflow', retard_s),
    releaseToFullOpen: window('releaseToFullOpen'),
    releaseToPipingFull: window('releaseToPipingFull'),
    drainsOpenToFlowRestored: window('drainsOpenToFlowRestored'),
    resetToPrimeRestored: window('resetToPrimeRestored'),
    testOpenToWaterflow: window('testOpenToWaterflow', retard_s),
    testShutToFlowRestored: window('testShutToFlowRestored'),
    supplyCloseStroke: window('supplyCloseStroke'),
  };
}

function same(...names: readonly (keyof Spans)[]): (typeof madeOf)[WindowName] {
  return { min: names, max: names };
}

function spans(figures: RiserFigures): Spans {
  const { alarmLine, chamber, delugeValve, release, supply, switches } = figures;
  const line = { volume_m3: alarmLine.volume_m3, hole_m3_s_sqrtPa: orificeConstant_m3_s_sqrtPa(alarmLine.hole) };
  const waterflow = switches.waterflow;
  const vent_m3_s = constantFlow_m3_s(release.solenoid_m3_s_sqrtPa, supply.static_Pa);
  const vented = (to_Pa: number): number => {
    const volume_m3 = decompression_m3(chamber.trappedAir_m3, supply.static_Pa, to_Pa);
    return passThroughOpening_s(volume_m3, vent_m3_s, release.solenoidStroke_s);
  };
  const testFlow_m3_s = constantFlow_m3_s(alarmLine.testValve_m3_s_sqrtPa, supply.static_Pa);
  return {
    decompress: vented(switches.primeLow.acts_Pa),
    lift: vented(tripPressure_Pa(delugeValve, supply.static_Pa)),
    stroke: strokeTime_s(figures),
    column: waterflowColumn_m3(figures) / fillFlow_m3_s(figures),
    fill: pipingVolume_m3(figures) / fillFlow_m3_s(figures),
    drain: columnDrain_s(figures),
    bleed: bleedDown_s(line, { from_Pa: supply.static_Pa, to_Pa: waterflow.returns_Pa }),
    refillPurged: refillTime_s(figures, chamber.trappedAir_m3),
    refillUnpurged: refillTime_s(figures, sweptVolume_m3(delugeValve)),
    lineFill: passThroughOpening_s(
      lineIntake_m3(alarmLine.volume_m3, waterflow.acts_Pa),
      testFlow_m3_s,
      figures.handValveStroke_s,
    ),
    solenoid: release.solenoidStroke_s,
    handWheel: figures.supplyValve.stroke_s,
  };
}

/** Share of the static pressure at which the clapper has finished its stroke (the prototype's, for the default riser). */
const endOfStroke = 0.25;

/** The clapper moves as fast as water leaves the chamber: swept volume over the solenoid's mean flow less the priming's. */
function strokeTime_s({ delugeValve, prime, release, supply }: RiserFigures): number {
  const mean_Pa = (tripPressure_Pa(delugeValve, supply.static_Pa) + endOfStroke * supply.static_Pa) / 2;
  const out_m3_s = constantFlow_m3_s(release.solenoid_m3_s_sqrtPa, mean_Pa);
  const in_m3_s = constantFlow_m3_s(
    orificeConstant_m3_s_sqrtPa(prime),
    supply.static_Pa - prime.checkCrack_Pa - mean_Pa,
  );
  return sweptVolume_m3(delugeValve) / Math.max(0, out_m3_s - in_m3_s);
}

/** What the supply gives into half-filled pipes, by bisection: the curve against half the column and half the fill loss. */
function fillFlow_m3_s({ piping, supply }: RiserFigures): number {
  const head_Pa = columnPressure_Pa(piping.riser.height_m) / 2;
  let [low, high] = [0, supplyFlow_m3_s(supply, 0)];
  for (let halving = 0; halving < 50; halving += 1) {
    const middle = (low + high) / 2;
    const against_Pa = head_Pa + (piping.fillResistance_Pa_s2_m6 / 2) * middle * middle;
    if (supplyFlow_m3_s(supply, against_Pa) > middle) low = middle;
    else high = middle;
  }
  return high;
}

/** Water in the riser when its column alone makes the waterflow switch act. */
function waterflowColumn_m3({ piping, switches }: RiserFigures): number {
  const height_m = Math.min(piping.riser.height_m, columnHeight_m(switches.waterflow.acts_Pa));
  return boreArea_m2(piping.riser.bore_m) * height_m;
}

/** Mean depth of water over the nozzles while the overhead pipes empty [choice: as the plant has it]. */
const overheadHead_m = 0.15;

/**
 * The pipes empty through the system drain and the auxiliary drain down to the waterflow switch's return: first main and
 * branches, under the riser's full column and also through half of the nozzles on average, then the riser (Torricelli).
 */
function columnDrain_s(figures: RiserFigures): number {
  const { drains, nozzles, piping, switches } = figures;
  const height_m = piping.riser.height_m;
  const outlet_m3_s_sqrtPa = drains.system_m3_s_sqrtPa + drains.auxiliary_m3_s_sqrtPa;
  const down_m3_s = constantFlow_m3_s(outlet_m3_s_sqrtPa, columnPressure_Pa(height_m));
  const out_m3_s = constantFlow_m3_s(nozzles.count * nozzles.k_m3_s_sqrtPa, columnPressure_Pa(overheadHead_m)) / 2;
  const overhead_m3 = pipingVolume_m3(figures) - riserVolume_m3(figures);
  const to_m = Math.min(columnHeight_m(switches.waterflow.returns_Pa), 0.99 * height_m);
  const riser_s = drainTime_s({ bore_m: piping.riser.bore_m, outlet_m3_s_sqrtPa }, height_m, to_m);
  return overhead_m3 / (down_m3_s + out_m3_s) + riser_s;
}

function refillTime_s({ prime, supply, switches }: RiserFigures, air_m3: number): number {
  const line = {
    source_Pa: supply.static_Pa,
    crack_Pa: prime.checkCrack_Pa,
    orifice_m3_s_sqrtPa: orificeConstant_m3_s_sqrtPa(prime),
  };
  return refill_s(line, { from_Pa: 0, to_Pa: switches.primeLow.returns_Pa, air_m3 });
}
