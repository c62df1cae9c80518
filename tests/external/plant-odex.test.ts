import {
  atmosphere_Pa,
  bleedDown_s,
  columnPressure_Pa,
  drainTime_s,
  figuresWith,
  orificeConstant_m3_s_sqrtPa,
  pipingVolume_m3,
  refill_s,
  riserVolume_m3,
} from '@tidemark/hydraulics';
import { advance, command, createPlant, nextEvent, observe } from '@tidemark/simulator';
import type { Plant, PlantCommand } from '@tidemark/simulator';
import { Solver } from 'odex';
import { describe, expect, it } from 'vitest';

/*
 * Single processes of the plant against a general-purpose integrator (odex: Gragg-Bulirsch-Stoer extrapolation after
 * Hairer, Nørsett and Wanner) fed with the same law, and against the closed forms.
 */
const psi = 6894.757293;
/** Its alarm line bleeds to a cup, so that nothing stands against the hole. */
const figures = figuresWith({ alarmLine: { bleedsTo: 'atmosphere' } });
const supply_Pa = figures.supply.static_Pa;

/** When a falling or rising quantity that odex integrates has reached a value, by bisection over its solution. */
function reached_s(rate: (value: number) => number, [start, end]: readonly [number, number], atMost_s: number): number {
  const solver = new Solver(1);
  solver.absoluteTolerance = solver.relativeTolerance = 1e-9;
  const value = (at_s: number): number =>
    at_s === 0 ? start : (solver.solve((_t: number, y: number[]) => [rate(y[0]!)], 0, [start], at_s).y[0] ?? start);
  let [before_s, after_s] = [0, atMost_s];
  for (let halving = 0; halving < 40; halving += 1) {
    const middle_s = (before_s + after_s) / 2;
    if (Math.sign(value(middle_s) - end) === Math.sign(start - end)) before_s = middle_s;
    else after_s = middle_s;
  }
  return after_s;
}

const turn = (plant: Plant, valve: (PlantCommand & { type: 'move' })['valve'], to: number): Plant =>
  command(plant, plant.seen_s, { type: 'move', valve, to, over_s: 0.001 }).plant;

/** When the next change of a contact comes, from now. */
function next_s(plant: Plant, contact: string): number {
  let now = plant;
  for (;;) {
    const event = nextEvent(now, plant.seen_s + 3600);
    if (event === undefined) return Infinity;
    if (event.type === 'contact' && event.contact === contact) return event.at_s - plant.seen_s;
    now = advance(now, event.at_s).plant;
  }
}

describe('the plant against odex', () => {
  it('bleeds its alarm line down in the same time', () => {
    const hole = orificeConstant_m3_s_sqrtPa(figures.alarmLine.hole);
    const volume_m3 = figures.alarmLine.volume_m3;
    const line_Pa = (water_m3: number): number => (atmosphere_Pa * volume_m3) / (volume_m3 - water_m3) - atmosphere_Pa;
    const water_m3 = (gauge_Pa: number): number => (volume_m3 * gauge_Pa) / (gauge_Pa + atmosphere_Pa);
    const tested = advance(turn(createPlant(figures), 'alarm-test', 1), 20).plant;
    const from_Pa = observe(tested).pressures_Pa.alarmLine;
    const to_Pa = figures.switches.waterflow.returns_Pa;

    const ours_s = next_s(turn(tested, 'alarm-test', 0), 'waterflow');
    const theirs_s = reached_s(
      (v) => -hole * Math.sqrt(Math.max(0, line_Pa(v))),
      [water_m3(from_Pa), water_m3(to_Pa)],
      60,
    );
    const closed_s = bleedDown_s({ volume_m3, hole_m3_s_sqrtPa: hole }, { from_Pa, to_Pa });

    expect(theirs_s).toBeCloseTo(closed_s, 4);
    expect(Math.abs(ours_s - theirs_s)).toBeLessThan(0.05);
  });

  it('drains its riser in the same time', () => {
    const outlet = figures.drains.system_m3_s_sqrtPa + figures.drains.drip_m3_s_sqrtPa;
    const [riser_m3, height_m] = [riserVolume_m3(figures), figures.piping.riser.height_m];
    const column_Pa = (water_m3: number): number => columnPressure_Pa((height_m * water_m3) / riser_m3);
    const dry = createPlant(figuresWith({ drains: { dripShuts_Pa: 100 * psi } }));
    const filled = { ...dry, state: { ...dry.state, pipingWater_m3: riser_m3, reliefOpen: true } };
    const shuts_Pa = figures.release.reliefShuts_Pa;
    const rest_m3 = riser_m3 * (shuts_Pa / columnPressure_Pa(height_m));

    let plant = turn(filled, 'supply', 0);
    plant = turn(plant, 'system-drain', 1);
    const first = nextEventNamed(plant, 'relief-shut');
    const theirs_s = reached_s((v) => -outlet * Math.sqrt(Math.max(0, column_Pa(v))), [riser_m3, rest_m3], 60);
    const closed_s = drainTime_s(
      { bore_m: figures.piping.riser.bore_m, outlet_m3_s_sqrtPa: outlet },
      height_m,
      (rest_m3 / riser_m3) * height_m,
    );

    expect(theirs_s).toBeCloseTo(closed_s, 3);
    expect(Math.abs(first - theirs_s)).toBeLessThan(0.1);
  });

  it('refills its chamber in the same time', () => {
    const air_m3 = 3e-4;
    const orifice = orificeConstant_m3_s_sqrtPa(figures.prime);
    const drive_Pa = supply_Pa - figures.prime.checkCrack_Pa;
    const to_Pa = figures.switches.primeLow.returns_Pa;
    const air_J = air_m3 * atmosphere_Pa;
    const chamber_Pa = (airVolume_m3: number): number => air_J / airVolume_m3 - atmosphere_Pa;
    const standing = createPlant(figuresWith({ chamber: { trappedAir_m3: air_m3 } }));
    const vented: Plant = {
      ...standing,
      state: {
        ...standing.state,
        inlet_Pa: 0,
        position: standing.state.position.map((position, index) => (index === 0 ? 0 : position)),
        target: standing.state.target.map((target, index) => (index === 0 ? 0 : target)),
        chamberWater_m3: figures.chamber.volume_m3 - air_m3,
        chamber_Pa: 0,
        active: standing.state.active.map((active, index) => index === 1 || active),
      },
    };

    const ours_s = next_s(turn(vented, 'supply-drain', 1), 'prime-pressure-low');
    const rate = (v: number): number => -orifice * Math.sqrt(Math.max(0, drive_Pa - chamber_Pa(v)));
    const theirs_s = reached_s(rate, [air_m3, air_J / (to_Pa + atmosphere_Pa)], 10);
    const closed_s = refill_s(
      { source_Pa: supply_Pa, crack_Pa: figures.prime.checkCrack_Pa, orifice_m3_s_sqrtPa: orifice },
      { from_Pa: 0, to_Pa, air_m3 },
    );

    expect(theirs_s).toBeCloseTo(closed_s, 4);
    expect(Math.abs(ours_s - theirs_s)).toBeLessThan(0.05);
  });

  it('starts dry, so that these checks have something to change', () => {
    expect(observe(createPlant(figures)).water_m3.piping).toBe(0);
    expect(pipingVolume_m3(figures)).toBeGreaterThan(riserVolume_m3(figures));
  });
});

/** When the next milestone of a name comes, from now. */
function nextEventNamed(plant: Plant, milestone: string): number {
  let now = plant;
  for (;;) {
    const event = nextEvent(now, plant.seen_s + 3600);
    if (event === undefined) return Infinity;
    if (event.type === 'milestone' && event.milestone === milestone) return event.at_s - plant.seen_s;
    now = advance(now, event.at_s).plant;
  }
}
