import { defaultFigures } from '@tidemark/hydraulics';
import { inUnit } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import { createPlant, faultRecipes, observe } from '../../src/index.ts';
import type { PlantFault, PlantPatch } from '../../src/index.ts';
import { signature } from './signature.ts';
import { chapters, move, play, reached, tell, turns } from './story.ts';
import type { Act, Told } from './story.ts';

/*
 * Figures of the project's fault catalogue, which came from a prototype of the same equations: regression of our own,
 * with the tolerance that its rounding and the differing assumptions allow.
 */
const recipe = (id: string, form: number) => {
  const found = faultRecipes(defaultFigures)[id]?.[form];
  if (found === undefined) throw new Error(`no recipe ${id} ${String(form)}`);
  return found;
};

const sound = tell();
const cv = (gpmPerRootPsi: number): number => gpmPerRootPsi / inUnit(1, 'gpm/psi^0.5');
const psi = (value: number): number => value / inUnit(1, 'psi');

/** Delay against the sound riser of the first turn of a contact within a chapter. */
const later_s = (told: Told, name: string, from: number): number =>
  turns(told, name, { from })[0]! - turns(sound, name, { from })[0]!;

describe('what a fault delays', () => {
  it.each([
    // [fault, form, contact, chapter, seconds later, give or take]; catalogue figures, rounded as there.
    ['supply-partly-shut', 0, 'waterflow+', 'discharge', 0.9, 0.1],
    ['supply-partly-shut', 1, 'waterflow+', 'discharge', 6.0, 0.2],
    ['supply-switch-misset', 0, 'supply-valve+', 'shutDown', 6.0, 0.01],
    ['supply-weak', 0, 'waterflow+', 'discharge', 0.3, 0.1],
    ['supply-valve-passing', 0, 'waterflow-', 'drains', 2, 1],
    ['prime-air-trapped', 0, 'prime-pressure-low-', 'reset', 5, 0.1],
    ['solenoid-port-plugged', 1, 'waterflow+', 'discharge', 0.3, 0.1],
    ['solenoid-port-plugged', 2, 'waterflow+', 'discharge', 0.4, 0.05],
    ['solenoid-port-plugged', 2, 'prime-pressure-low-', 'reset', 1.3, 0.05],
    ['bleed-hole-plugged', 1, 'waterflow-', 'testShut', 22.6, 0.5],
    ['bleed-hole-oversize', 0, 'waterflow-', 'testShut', -17, 0.5],
    ['bleed-hole-oversize', 0, 'waterflow-', 'drains', -6.8, 1],
    ['flow-switch-set-high', 0, 'waterflow+', 'discharge', 2.1, 0.2],
    ['flow-switch-reset-low', 0, 'waterflow-', 'drains', 13.7, 0.5],
    ['flow-switch-reset-low', 0, 'waterflow-', 'testShut', 14.7, 1],
    ['flow-retard-misset', 0, 'waterflow+', 'discharge', 45, 0.001],
    ['nozzles-obstructed', 1, 'waterflow-', 'drains', 2.5, 1],
  ] as const)('%s (form %d): %s after %s', (id, form, contact, chapter, seconds, tolerance) => {
    const delay_s = later_s(tell(recipe(id, form)), contact, chapters[chapter]);

    expect(Math.abs(delay_s - seconds)).toBeLessThan(tolerance);
  });

  it('shows in the flow alone when nozzles are obstructed or a pipe is broken', () => {
    const flow_gpm = (id: string, form: number): number => {
      const told = play(
        createPlant(defaultFigures, { faults: [lasting(recipe(id, form).patch)] }),
        [[0, move('solenoid', 1)]],
        60,
      );
      return inUnit(observe(told.plant).flows_m3_s.nozzles, 'gpm');
    };

    expect(flow_gpm('nozzles-obstructed', 0)).toBeCloseTo(407, -1);
    expect(flow_gpm('nozzles-obstructed', 1)).toBeCloseTo(53, -1);
    expect(flow_gpm('pipe-broken', 0)).toBeCloseTo(1129, -1.5);
  });
});

const lasting = (patch: PlantPatch, from_s = 0, until_s?: number): PlantFault =>
  until_s === undefined ? { id: 'fault', patch, from_s } : { id: 'fault', patch, from_s, until_s };

/** A riser left alone with some faults and acts. */
const alone = (faults: readonly PlantFault[], until_s: number, acts: readonly Act[] = []): Told =>
  play(
    createPlant(defaultFigures, { faults: faults.map((fault, index) => ({ ...fault, id: String(index) })) }),
    acts,
    until_s,
  );

describe('a chamber whose priming valve is shut', () => {
  it.each([
    // Row P2: the smaller the weep, the longer the warning.
    [0.0002, 6, 12, 58],
    [0.001, 1.2, 2.3, 24],
    [0.01, 0.1, 0.2, 6.9],
  ])('with a weep of Cv %d warns first, then trips by itself', (weep, low_s, lift_s, flow_s) => {
    const told = alone([lasting({ chamber: { leak_m3_s_sqrtPa: cv(weep) } })], 300, [[0, move('prime', 0, 0)]]);

    expect(Math.abs(turns(told, 'prime-pressure-low+')[0]! / low_s - 1)).toBeLessThan(0.25);
    expect(Math.abs(reached(told, 'clapper-lifted')! / lift_s - 1)).toBeLessThan(0.25);
    expect(Math.abs(turns(told, 'waterflow+')[0]! / flow_s - 1)).toBeLessThan(0.25);
  });
});

describe('a disturbed supply', () => {
  const dip = (from_s: number, until_s: number): PlantFault =>
    lasting({ supply: { shift_Pa: -psi(80) } }, from_s, until_s);
  const leakingCheck = lasting({ prime: { checkLeak_m3_s_sqrtPa: cv(0.3) } });

  it('that dips is reported, the chamber kept by its check', () => {
    const told = alone([dip(10, 30)], 60);

    expect(told.events.map((event) => event.type === 'contact' && `${event.contact} ${event.state}`)).toEqual([
      'supply-pressure-low active',
      'supply-pressure-low restored',
    ]);
    expect(turns(told, 'supply-pressure-low+')).toEqual([12.001]);
  });

  it('that dips takes the chamber along through a leaking check', () => {
    const told = alone([leakingCheck, dip(10, 30)], 60);

    expect(turns(told, 'prime-pressure-low+')[0]!).toBeLessThan(turns(told, 'supply-pressure-low+')[0]!);
    expect(turns(told, 'waterflow+')).toEqual([]);
  });

  it('that comes back fast trips the valve when the check leaks and air fills the chamber', () => {
    const told = alone([leakingCheck, lasting({ chamber: { trappedAir_m3: 1e-3 } }), dip(10, 30)], 60);

    // Row S11: flow with nothing released, 0.4 to 0.7 s after the recovery.
    expect(turns(told, 'waterflow+')[0]! - 30).toBeGreaterThan(0.3);
    expect(turns(told, 'waterflow+')[0]! - 30).toBeLessThan(0.9);
  });

  it('that surges leaves the peak in a sound chamber, and no signal', () => {
    const told = alone([lasting({ supply: { shift_Pa: psi(80) } }, 10, 10.25)], 60);

    expect(told.events.filter(({ type }) => type === 'contact')).toEqual([]);
    expect(inUnit(observe(told.plant).pressures_Pa.chamber, 'psi')).toBeCloseTo(179.5, 0);
  });

  it('that surges lifts the clapper a moment when air fills the chamber, without flow', () => {
    const surge = lasting({ supply: { shift_Pa: psi(80) } }, 10, 10.25);
    const told = alone([lasting({ chamber: { trappedAir_m3: 1e-3 } }), surge], 60);

    expect(reached(told, 'clapper-lifted')).toBeGreaterThan(10);
    expect(turns(told, 'waterflow+')).toEqual([]);
  });
});

describe('the relief', () => {
  const acts: readonly Act[] = [
    [0, move('solenoid', 1)],
    [60, move('solenoid', 0)],
  ];

  it('that is stuck shut lets a reset in full flow restore priming at once and the flow decay', () => {
    const told = alone([lasting({ relief: { stuck: 'shut' } })], 180, acts);

    // Row R13: +0.18 s, throttling shut over some 40 s.
    expect(turns(told, 'prime-pressure-low-')[0]! - 60).toBeLessThan(0.5);
    expect(reached(told, 'clapper-seated')! - 60).toBeGreaterThan(3);
    expect(inUnit(observe(told.plant).flows_m3_s.nozzles, 'gpm')).toBeLessThan(60);
  });

  it('that is sound keeps the water running after a reset', () => {
    const told = alone([], 180, acts);

    expect(turns(told, 'prime-pressure-low-')).toEqual([]);
    expect(inUnit(observe(told.plant).flows_m3_s.nozzles, 'gpm')).toBeGreaterThan(860);
  });
});

describe('a weeping seat', () => {
  const weep = (gpm: number): PlantPatch => ({ clapper: { seatLeak_m3_s_sqrtPa: cv(gpm / 10) } });

  it('of 0.1 gpm does nothing while the drip works', () => {
    const told = alone([lasting(weep(0.1))], 86_400);

    expect(told.events).toEqual([]);
    // (0.1/0.5)² psi: the drip's own closed form.
    expect(inUnit(observe(told.plant).pressures_Pa.outlet, 'psi')).toBeCloseTo(0.04, 2);
  });

  it.each([
    // Rows V3 and V4: 65.6 L of riser to 5 psi, over the weep.
    [0.1, 2.9 * 3600],
    [0.5, 35 * 60],
    [5, 3.5 * 60],
  ])('of %d gpm fills the riser past a plugged drip until the relief trips the valve', (gpm, catalogue_s) => {
    const told = alone([lasting(weep(gpm)), lasting({ drip: { plugged: 1 } })], 20_000);

    const flow_s = turns(told, 'waterflow+')[0]!;
    expect(Math.abs(flow_s / catalogue_s - 1)).toBeLessThan(0.1);
    expect(Math.abs(turns(told, 'prime-pressure-low+')[0]! - flow_s)).toBeLessThan(60);
  });
});

describe('the alarm line', () => {
  it('isolated at the switch in the middle of a discharge keeps the alarm for ever', () => {
    const told = tell(undefined, [[chapters.discharge + 60, move('alarm-line', 0)]]);

    expect(turns(told, 'waterflow+')).toHaveLength(1);
    expect(turns(told, 'waterflow-')).toEqual([]);
  });

  it('whose check leaks back grossly lets a long test trip the valve', () => {
    const leak = lasting(recipe('drain-check-leaking', 1).patch);
    const told = alone([leak], 200, [[10, move('alarm-test', 1)]]);

    expect(turns(told, 'waterflow+')[0]! - 10).toBeGreaterThan(15);
    expect(turns(told, 'prime-pressure-low+')).toHaveLength(1);
  });

  it('that bleeds to a cup stays silent in a discharge when its check is stuck, and passes its test', () => {
    const alarmLine = { ...defaultFigures.alarmLine, bleedsTo: 'atmosphere' } as const;
    const told = tell(recipe('alarm-line-plugged', 0), [], { ...defaultFigures, alarmLine });

    expect(signature(told)).toBe('Q | D PRIM+ | R TAMP+ PRIM- TAMP- | T FLOW+ FLOW-');
  });
});

describe('a waterflow switch set close to the pressure of full flow', () => {
  it('comes and goes with a supply that pulses, in its period', () => {
    const { ofSize, size } = recipe('flow-switch-chatter', 1);
    const pulsing = (ofSize(size!.usual).spans ?? []).map(({ after_s, lasts_s, patch }) =>
      lasting(patch, 20 + after_s, lasts_s === undefined ? undefined : 20 + after_s + lasts_s),
    );
    const comes_s = turns(alone(pulsing, 120, [[0, move('solenoid', 1)]]), 'waterflow+');

    expect(comes_s.length).toBeGreaterThan(3);
    comes_s.slice(2).forEach((at_s, index) => expect(at_s - comes_s[index + 1]!).toBeCloseTo(size!.usual, 0));
  });
});

describe('a recipe with a size', () => {
  const recipes = Object.entries(faultRecipes(defaultFigures)).flatMap(([id, list]) =>
    list.map((each, form) => [id, form, each] as const),
  );

  it.each(recipes)('is the same in its own size as it stands (%s %d), and another in another', (_id, _form, given) => {
    if (given.size === undefined) {
      expect(given.ofSize(1)).toEqual({ patch: given.patch, moves: given.moves });
      return;
    }
    const { least, most, usual } = given.size;
    expect(least).toBeLessThanOrEqual(usual);
    expect(usual).toBeLessThanOrEqual(most);
    const sizes = [least, usual, most].map((size) => JSON.stringify(given.ofSize(size)));
    expect(new Set(sizes).size).toBe(new Set([least, usual, most]).size);
  });
});

describe('a fault with an end', () => {
  it('changes nothing before it begins and nothing after it is over', () => {
    const told = alone([lasting({ contacts: { waterflow: { stuck: 'active' } } }, 100, 200)], 900);

    expect(turns(told, 'waterflow+')).toEqual([100.001]);
    expect(turns(told, 'waterflow-')).toEqual([200.001]);
  });

  it('ends when it is mended', () => {
    const acts: readonly Act[] = [
      [10, { type: 'fault', fault: { id: 'f', patch: { contacts: { waterflow: { stuck: 'active' } } }, from_s: 10 } }],
      [20, { type: 'mend', id: 'f' }],
    ];

    expect(turns(play(createPlant(defaultFigures), acts, 60), 'waterflow-')).toEqual([20.001]);
  });
});
