import { defaultFigures } from '@tidemark/hydraulics';
import { describe, expect, it } from 'vitest';
import { advance, command, createPlant, observe, sees, sightOf } from '../../src/index.ts';
import type { Plant, Sight, Sighting, ValveName } from '../../src/index.ts';

const dark = { alarm: false, supervisory: false, trouble: false, active: [] } as const;

/** What there is to be seen some seconds after valves were turned, one after another. */
function after(...moves: readonly (readonly [valve: ValveName, to: number, then_s: number])[]): Sight {
  let plant: Plant = createPlant(defaultFigures);
  let at_s = 0;
  for (const [valve, to, then_s] of moves) {
    plant = command(plant, at_s, { type: 'move', valve, to, over_s: 0 }).plant;
    at_s += then_s;
    plant = advance(plant, at_s).plant;
  }
  return sightOf(observe(plant), dark);
}

const standby = after(['supply', 1, 10]);
const discharge = after(['solenoid', 1, 60]);
const draining = after(['solenoid', 1, 60], ['supply', 0, 1], ['system-drain', 1, 2]);
const drained = after(['solenoid', 1, 60], ['supply', 0, 1], ['system-drain', 1, 600], ['solenoid', 0, 60]);

describe('what somebody on site sees', () => {
  it.each<[Sighting, readonly boolean[]]>([
    // In standby, in full flow, with the supply just shut and a drain open, and drained and primed again.
    ['water-at-nozzles', [false, true, true, false]],
    ['nozzles-dry', [true, false, false, true]],
    ['water-at-drains', [false, false, true, false]],
    ['drains-dry', [true, true, false, true]],
    ['vent-running', [false, true, true, false]],
    ['vent-dry', [true, false, false, true]],
    ['priming-up', [true, false, false, true]],
    ['priming-down', [false, true, true, false]],
  ])('%s', (what, expected) => {
    expect([standby, discharge, draining, drained].map((sight) => sees(sight, what))).toEqual(expected);
  });

  it('is what the front of the panel shows', () => {
    const shown = (panel: Partial<Sight['panel']>) => ({ ...standby, panel: { ...dark, ...panel } });

    expect(sees(standby, 'panel-normal')).toBe(true);
    for (const lamp of ['alarm', 'supervisory', 'trouble'])
      expect(sees(shown({ [lamp]: true }), 'panel-normal')).toBe(false);
    expect([standby, shown({ alarm: true })].map((sight) => sees(sight, 'panel-alarm'))).toEqual([false, true]);
    const listed = shown({ active: ['waterflow'] });
    expect(sees(listed, { signal: 'waterflow', shows: 'active' })).toBe(true);
    expect(sees(listed, { signal: 'waterflow', shows: 'restored' })).toBe(false);
    expect(sees(listed, { signal: 'heat', shows: 'restored' })).toBe(true);
  });
});
