import { fc, test } from '@fast-check/vitest';
import { classOf, isInitiating } from '@tidemark/signals';
import { describe, expect } from 'vitest';
import { advancePanel, createPanel, operatePanel, panelFront, panelWake } from '../../src/index.ts';
import type { Panel, PanelInput, PanelOutput, PanelSettings } from '../../src/index.ts';
import { at, back, disconnect, made, play, power, programme, reset, silence, wiring } from './told.ts';
import type { Act } from './told.ts';

const runs = { seed: 11, numRuns: 150 } as const;
const wired = [at.pull, at.heat, at.smoke, at.waterflow, at.supply, at.prime];
const circuits = [...wired, 'release'] as const;
const end_s = 2e4;

/** Anything that the field, people and power can do, in any order, at odd and even moments, for about an hour. */
const anything: fc.Arbitrary<PanelInput> = fc.oneof(
  { weight: 6, arbitrary: fc.constantFrom(...wired.flatMap((point) => [made(point), back(point)])) },
  { weight: 2, arbitrary: fc.constantFrom(reset, reset, silence) },
  { weight: 2, arbitrary: fc.constantFrom(disconnect(true), disconnect(false)) },
  { weight: 1, arbitrary: fc.constantFrom(...circuits.flatMap((each) => [wiring(each, 'open'), wiring(each)])) },
  {
    weight: 1,
    arbitrary: fc.constantFrom(
      power('ac', false),
      power('ac', true),
      power('battery', false),
      power('battery', true),
      { type: 'trouble', trouble: 'earth-fault', on: true } as const,
      { type: 'trouble', trouble: 'earth-fault', on: false } as const,
      { type: 'switch', switch: 'test-mode', on: true } as const,
      { type: 'switch', switch: 'test-mode', on: false } as const,
      { type: 'reading', point: at.gauge, si: 5e5 } as const,
    ),
  },
);

const gap_s = fc.oneof(
  fc.constantFrom(0, 0.05, 0.25, 1, 1.95, 2, 10, 30),
  fc.double({ min: 0, max: 3, noNaN: true }),
  fc.double({ min: 3, max: 400, noNaN: true }),
);

const history: fc.Arbitrary<readonly Act[]> = fc.array(fc.tuple(gap_s, anything), { maxLength: 40 }).map((steps) => {
  let at_s = 0;
  return steps.map(([after_s, input]): Act => {
    at_s += after_s;
    return [at_s, input];
  });
});

const mode = fc.constantFrom('contact' as const, 'reset' as const);
const settings: fc.Arbitrary<PanelSettings> = fc
  .record({
    alarmRestorals: mode,
    supervisoryRestorals: mode,
    crossZoned: fc.boolean(),
    refusesResetWhileActive: fc.boolean(),
    releaseDelay_s: fc.constantFrom(0, 5, 60),
    resetSettle_s: fc.constantFrom(0, 0.3, 2),
    periodicTest_s: fc.constantFrom(700.1, 3_000),
  })
  .map((chosen) => ({ ...programme('{ waterflowRetardSeconds: 20, verificationSeconds: 30 }'), ...chosen }));

/** What a panel does over a history, with the act after which it did it. */
function* followed(
  chosen: PanelSettings,
  acts: readonly Act[],
): Generator<{ readonly done: readonly Act[]; readonly panel: Panel; readonly outputs: readonly PanelOutput[] }> {
  let panel = createPanel(chosen, 0);
  for (const [index, [at_s, input]] of acts.entries()) {
    const before = advancePanel(panel, at_s);
    yield { done: acts.slice(0, index), panel: before.panel, outputs: before.outputs };
    const step = operatePanel(before.panel, at_s, input);
    yield { done: acts.slice(0, index + 1), panel: step.panel, outputs: step.outputs };
    panel = step.panel;
  }
  const last = advancePanel(panel, end_s);
  yield { done: acts, panel: last.panel, outputs: last.outputs };
}

/** The state of a contact at a moment, and whether it was ever normal since another, acts at both included. */
function normalWithin(acts: readonly Act[], point: number, [from_s, to_s]: readonly [number, number]): boolean {
  let active = false;
  let normal = false;
  for (const [at_s, input] of acts) {
    if (at_s > to_s) break;
    if (at_s >= from_s && !active) normal = true;
    if (input.type === 'contact' && input.point === point) active = input.active;
    if (at_s >= from_s && !active) normal = true;
  }
  return normal || !active;
}

describe('a panel without defects, whatever is done to it', () => {
  test.prop([settings, history], runs)('acts in order of time and never before it is asked', (chosen, acts) => {
    let asked_s = 0;
    for (const { outputs, panel } of followed(chosen, acts)) {
      const times = [asked_s, ...outputs.map(({ at_s }) => at_s), panel.at_s];
      expect(times).toEqual(times.toSorted((one, other) => one - other));
      asked_s = panel.at_s;
    }
  });

  test.prop([settings, history, fc.array(fc.double({ min: 0, max: 5_000, noNaN: true }), { maxLength: 30 })], runs)(
    'does the same in whatever slices time passes',
    (chosen, acts, looks_s) => {
      const whole = play(chosen, acts, end_s);

      const outputs: PanelOutput[] = [];
      let panel = createPanel(chosen, 0);
      const waiting = looks_s.toSorted((one, other) => one - other);
      for (const [at_s, input] of [...acts, [end_s, undefined] as const]) {
        while (waiting[0] !== undefined && waiting[0] <= at_s) {
          const looked = advancePanel(panel, waiting.shift() ?? at_s);
          outputs.push(...looked.outputs);
          panel = looked.panel;
        }
        const step = input === undefined ? advancePanel(panel, at_s) : operatePanel(panel, at_s, input);
        outputs.push(...step.outputs);
        panel = step.panel;
      }

      expect(outputs).toEqual(whole.outputs);
      expect(panel).toEqual(whole.panel);
    },
  );

  test.prop([settings, history], runs)(
    'does nothing before the moment it foretells, and what it then does is done',
    (chosen, acts) => {
      const { panel } = play(chosen, acts, acts.at(-1)?.[0] ?? 0);
      const wake_s = panelWake(panel);
      if (wake_s === undefined) return;

      const before_s = panel.at_s + (wake_s - panel.at_s) * 0.999;

      expect(wake_s).toBeGreaterThan(panel.at_s);
      if (before_s < wake_s) expect(advancePanel(panel, before_s).outputs).toEqual([]);
      expect(panelWake(advancePanel(panel, wake_s).panel)).not.toBe(wake_s);
    },
  );

  test.prop([settings, history], runs)(
    'never energizes the release while it is disconnected, broken or without power',
    (chosen, acts) => {
      let energized = false;
      for (const { done, outputs, panel } of followed(chosen, acts)) {
        for (const output of outputs) if (output.type === 'solenoid') energized = output.energized;
        const last = (accept: (input: PanelInput) => boolean): PanelInput | undefined =>
          done.findLast(([, input]) => accept(input))?.[1];
        const switched = last((input) => input.type === 'switch' && input.switch === 'release-disconnect');
        const wire = last((input) => input.type === 'circuit' && input.circuit === 'release');
        const barred =
          (switched?.type === 'switch' && switched.on) ||
          (wire?.type === 'circuit' && wire.fault !== undefined) ||
          !panel.running;

        expect(energized && barred).toBe(false);
        expect(panel.energized).toBe(energized);
      }
    },
  );

  test.prop([settings, history], runs)(
    'energizes the release only after a releasing device was announced since the last reset',
    (chosen, acts) => {
      const announced = new Set<number>();
      for (const output of play(chosen, acts, end_s).outputs) {
        if (output.type === 'running' && output.running) announced.clear();
        if (output.type === 'signal') {
          const { data } = output;
          if (data.signal === 'reset') announced.clear();
          if ('state' in data && data.state === 'active' && isInitiating(data.signal)) announced.add(data.point ?? -1);
        }
        if (output.type !== 'solenoid' || !output.energized) continue;
        expect(announced.size).toBeGreaterThan(chosen.crossZoned && !announced.has(at.pull) ? 1 : 0);
      }
    },
  );

  test.prop([settings, history], runs)(
    'says active and restored by turns: active again only as a new occasion after a reset or a start',
    (chosen, acts) => {
      const last = new Map<string, { readonly state: string; readonly occasion: number }>();
      let occasion = 0;
      for (const output of play(chosen, acts, end_s).outputs) {
        if (output.type === 'running') occasion += 1;
        if (output.type !== 'signal' || !('state' in output.data)) continue;
        const { signal, state, point } = output.data;
        if (signal === 'reset') occasion += 1;
        if (state === 'performed' || signal === 'periodic-test') continue;
        const key = `${signal} ${String(point)}`;
        const before = last.get(key) ?? { state: 'restored', occasion: -1 };
        const grouped = classOf(signal) === 'panel' || classOf(signal) === 'release';
        const again = state === 'active' && before.state === 'active' && before.occasion < occasion && !grouped;
        expect(again || state !== before.state, `${key} ${state} at ${String(output.at_s)}`).toBe(true);
        last.set(key, { state, occasion });
      }
    },
  );

  test.prop([settings, history], runs)(
    'never says restored of a point that was off normal all the while',
    (chosen, acts) => {
      for (const output of play(chosen, acts, end_s).outputs) {
        if (output.type !== 'signal' || !('state' in output.data) || output.data.state !== 'restored') continue;
        const { point, signal } = output.data;
        if (point === undefined || !wired.some((each) => each === point)) continue;
        // A scan is 0.25 s old at most.
        const normal = normalWithin(acts, point, [output.at_s - 0.25, output.at_s]);
        expect(normal, `${signal} at ${String(output.at_s)}`).toBe(true);
      }
    },
  );

  test.prop([settings, history], runs)(
    'whose alarms latch restores them with a reset, a start or a mended circuit only',
    (chosen, acts) => {
      const latching = { ...chosen, alarmRestorals: 'reset' as const };
      let cleared_s = -Infinity;
      for (const output of play(latching, acts, end_s).outputs) {
        if (output.type === 'running') cleared_s = output.at_s;
        if (output.type !== 'signal' || !('state' in output.data)) continue;
        const { signal, state } = output.data;
        if (signal === 'reset') cleared_s = output.at_s;
        if (state !== 'restored' || classOf(signal) !== 'alarm') continue;
        const mended = acts.some(
          ([at_s, input]) => input.type === 'circuit' && at_s <= output.at_s && at_s >= output.at_s - 0.25,
        );
        // CONTRACT 3: what was clear restores within the settling time; here that and a scan.
        expect(
          mended || output.at_s - cleared_s <= chosen.resetSettle_s + 0.25,
          `${signal} at ${String(output.at_s)}`,
        ).toBe(true);
      }
    },
  );

  test.prop([settings, history], runs)('is at rest after everything is put back and it is reset', (chosen, acts) => {
    const done_s = (acts.at(-1)?.[0] ?? 0) + 1;
    const putBack: readonly Act[] = [
      ...[...wired, at.disconnect].map((point): Act => [done_s, back(point)]),
      ...circuits.map((circuit): Act => [done_s, wiring(circuit)]),
      [done_s, power('ac', true)],
      [done_s, power('battery', true)],
      [done_s, disconnect(false)],
      [done_s, { type: 'switch', switch: 'test-mode', on: false }],
      [done_s, { type: 'trouble', trouble: 'earth-fault', on: false }],
      [done_s + 100, reset],
    ];

    const { outputs, panel } = play(chosen, [...acts, ...putBack], done_s + 110);
    const active = new Set<string>();
    for (const output of outputs) {
      if (output.type !== 'signal' || !('state' in output.data) || output.data.signal === 'periodic-test') continue;
      const { point, signal, state } = output.data;
      if (state === 'active') active.add(`${signal} ${String(point)}`);
      if (state === 'restored') active.delete(`${signal} ${String(point)}`);
    }

    expect([...active]).toEqual([]);
    expect(panelFront(panel)).toEqual({ alarm: false, supervisory: false, trouble: false, active: [] });
    expect(panel).toMatchObject({ energized: false, sounding: false, running: true });
  });
});
