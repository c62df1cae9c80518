import { seededRandom } from '@tidemark/kernel';
import { fc, test } from '@fast-check/vitest';
import { describe, expect, it } from 'vitest';
import { runStory, Stage, storyLine } from '../../src/index.ts';
import type { StoryFault } from '../../src/index.ts';
import { at, profileWith, pull, reset, shortly, storyOf, later, trip, turn } from './tell.ts';

const contact = (heard: ReturnType<typeof runStory>, name: string): readonly number[] =>
  heard.truth.contacts
    .filter((each) => `${each.contact}${each.state === 'active' ? '+' : '-'}` === name)
    .map(({ at_s }) => at_s);

describe('a trip by the book on a plant with a panel', () => {
  const played = runStory(storyOf(trip));

  it('tells the healthy pattern in its order', () => {
    // The pattern is that of MODEL 4; the panel's own signals stand beside it.
    const words = shortly(played.heard).filter((word) => !word.startsWith('panel-'));

    expect(words).toEqual([
      'link up',
      'periodic-test+',
      'manual-pull+',
      'solenoid+',
      'prime-pressure-low+',
      'waterflow+',
      'supply-valve+',
      'waterflow-',
      'manual-pull-',
      'reset!',
      'solenoid-',
      'prime-pressure-low-',
      'supply-valve+',
      'supply-valve-',
      'reset!',
    ]);
  });

  it('lets water flow when MODEL 2 measured it, and no longer than the supply is open', () => {
    const energized_s = played.truth.release[0]?.from_s ?? NaN;

    // 0.011 s, 0.48 s, 0.91 s, 2.69 s after the solenoid; regression of our own with the tolerance of its rounding.
    expect(contact(played, 'prime-pressure-low+')[0]).toBeCloseTo(energized_s + 0.011, 2);
    expect(Math.abs((contact(played, 'waterflow+')[0] ?? NaN) - energized_s - 0.48)).toBeLessThan(0.03);
    const milestone = (name: string) => played.truth.milestones.find((each) => each.milestone === name)?.at_s ?? NaN;
    expect(Math.abs(milestone('clapper-open') - energized_s - 0.91)).toBeLessThan(0.03);
    expect(Math.abs(milestone('piping-full') - energized_s - 2.69)).toBeLessThan(0.3);
    expect(played.truth.water).toHaveLength(1);
    expect(played.truth.water[0]?.to_s).toBeGreaterThan(510);
    expect(played.truth.water[0]?.to_s).toBeLessThan(516);
  });

  it('labels who did what, where the supply valve was, and when current flowed', () => {
    expect(played.truth.acts.map(({ act, at_s, by }) => [act, at_s, by]).slice(0, 3)).toEqual([
      ['device', 300, 'steps 1'],
      ['valve', 500, 'steps 1'],
      ['valve', 515, 'steps 1'],
    ]);
    expect(played.truth.openings.supply.slice(0, 4)).toEqual([
      { at_s: 0, position: 1 },
      { at_s: 500, position: 1 },
      { at_s: 515, position: 0 },
      { at_s: expect.any(Number) as number, position: 0 },
    ]);
    expect(played.truth.release).toEqual([{ from_s: 300.3, to_s: expect.any(Number) as number }]);
  });

  it('gives every signal a line of a replay file, in order of receipt', () => {
    const lines = played.heard.map((each) => JSON.parse(storyLine(each, played.sender)) as Record<string, string>);
    const receipts = lines.map(({ receivedtime }) => Date.parse(receivedtime ?? ''));

    expect(receipts).toEqual(receipts.toSorted((one, other) => one - other));
    expect(lines[0]).toMatchObject({ type: 'riser.link.v1', receivedtime: '2026-03-02T08:00:00.200Z' });
    expect(lines[2]).toMatchObject({
      type: 'riser.signal.v1',
      source: '/quayside-cold-store/panel-1',
      subject: 'deluge-1',
      data: { signal: 'manual-pull', state: 'active', point: 1 },
    });
  });
});

describe('a story', () => {
  test.prop([fc.array(fc.double({ min: 0, max: 1_800, noNaN: true }), { maxLength: 40 })], { numRuns: 6 })(
    'gives the same in whatever slices it is played',
    (moments) => {
      const whole = runStory(storyOf(trip));
      const stage = new Stage(storyOf(trip));

      const heard = [...moments.toSorted((one, other) => one - other), 1_800].flatMap((to_s) => stage.advanceTo(to_s));

      expect(heard).toEqual(whole.heard);
      expect(stage.truth).toEqual(whole.truth);
    },
  );

  it('is the same whether it is watched for a drawing or not', () => {
    const watched = runStory(storyOf(trip), { traced: true });
    const plain = runStory(storyOf(trip));

    expect(watched.heard).toEqual(plain.heard);
    expect(plain.trace).toEqual([]);
    expect(watched.trace.length).toBeGreaterThan(500);
  });

  it('does what is due at one moment in the order of its threads', () => {
    const threads = [[at(60, turn('alarm-test', 1))], [at(60, pull('active'))], [at(60, reset)]];
    const order = runStory(storyOf([], { steps: threads })).truth.acts.map(({ act }) => act);
    const reversed = runStory(storyOf([], { steps: threads.toReversed() })).truth.acts.map(({ act }) => act);

    expect(order).toEqual(['valve', 'device', 'button']);
    expect(reversed).toEqual(['button', 'device', 'valve']);
  });

  it('waits for what is to be seen, then so long, and at most so long in all', () => {
    const waiting = (atMost_s: number | undefined) =>
      runStory(
        storyOf([
          at(60, pull('active')),
          {
            due: { awaits: { milestone: 'piping-full' }, wait_s: 10, ...(atMost_s === undefined ? {} : { atMost_s }) },
            deed: reset,
          },
        ]),
      ).truth;
    const full_s = waiting(undefined).milestones.find(({ milestone }) => milestone === 'piping-full')?.at_s ?? NaN;

    expect(waiting(undefined).acts[1]?.at_s).toBeCloseTo(full_s + 10, 2);
    expect(waiting(5).acts[1]?.at_s).toBe(65);
  });

  it('never does what waits for something that is never so', () => {
    const { truth } = runStory(storyOf([{ due: { awaits: { sees: 'water-at-nozzles' }, wait_s: 0 }, deed: reset }]));

    expect(truth.acts).toEqual([]);
  });

  it('releases again after a reset with the pull station still pulled', () => {
    const { truth, heard } = runStory(storyOf([at(60, pull('active')), at(120, reset)]));
    const words = shortly(heard).filter((word) => /^(solenoid|manual-pull|reset)/.test(word));

    expect(words).toEqual(['manual-pull+', 'solenoid+', 'reset!', 'solenoid-', 'manual-pull+', 'solenoid+']);
    expect(truth.release).toEqual(
      [
        { from_s: 60.3, to_s: 120 },
        // MODEL 1.7: the panel scans again after its settling time and announces anew what is off normal.
        { from_s: 122.05, to_s: undefined },
      ].map(({ from_s, to_s }) =>
        to_s === undefined ? { from_s: expect.closeTo(from_s, 0) as number } : { from_s, to_s },
      ),
    );
  });
});

describe('a fault of a story', () => {
  const leak: StoryFault = {
    cause: 'supply-switch-stuck-active',
    row: 'S5',
    size: undefined,
    injected: {
      where: 'plant',
      parts: [{ patch: { contacts: { 'supply-valve': { stuck: 'active' } } }, after_s: 0 }],
      moves: [],
    },
    due: { at_s: 100 },
    lasts_s: 50,
  };

  it('holds from its moment to its end, and the labels say so', () => {
    const { heard, truth } = runStory(storyOf([], { faults: [leak] }));

    expect(shortly(heard).filter((word) => word.startsWith('supply-valve'))).toEqual([
      'supply-valve+',
      'supply-valve-',
    ]);
    expect(truth.causes).toEqual([
      { cause: 'supply-switch-stuck-active', row: 'S5', size: undefined, from_s: 100, to_s: 150 },
    ]);
    expect(truth.contacts.map(({ at_s, state }) => [Math.round(at_s), state])).toEqual([
      [100, 'active'],
      [150, 'restored'],
    ]);
  });

  it('begins once what it waits for is so', () => {
    const waiting: StoryFault = { ...leak, due: { awaits: { signal: 'waterflow', said: 'active' }, wait_s: 5 } };
    const { truth } = runStory(storyOf(trip, { faults: [waiting] }));
    const said_s = truth.said.find(({ data }) => data.signal === 'waterflow')?.at_s ?? NaN;

    expect(truth.causes[0]?.from_s).toBeCloseTo(said_s + 5, 2);
  });

  it('of the link keeps signals from the station, and the labels know them', () => {
    const lost: StoryFault = {
      ...leak,
      cause: 'link-lost',
      row: 'K1',
      injected: { where: 'link', trouble: { kind: 'outage', meanwhile: 'dropped' } },
      due: { at_s: 50 },
      lasts_s: 600,
    };
    const { heard, truth } = runStory(storyOf([at(60, pull('active'))], { faults: [lost] }));

    expect(shortly(heard)).toEqual(['link up', 'periodic-test+', 'link down', 'link up']);
    expect(truth.said.filter(({ fate }) => fate === 'dropped').map(({ data }) => data.signal)).toContain('waterflow');
    expect(truth.water).toHaveLength(1);
  });
});

describe('gauges of a riser', () => {
  const profile = profileWith('  - { point: 8, signal: prime-pressure }', '  - { point: 9, signal: flow }');

  it('are read at the beginning, when they change, and now and then', () => {
    const { heard } = runStory(storyOf([at(1_000, pull('active'))], { profile }));
    const readings = heard.flatMap((each) =>
      each.topic === 'signal' && 'value' in each.event.data ? [{ at_s: each.received_s, ...each.event.data }] : [],
    );

    expect(readings.filter(({ at_s }) => at_s < 1_000).map(({ signal, value }) => [signal, Math.round(value)])).toEqual(
      [
        ['prime-pressure', 100],
        ['flow', 0],
        ['prime-pressure', 100],
        ['flow', 0],
      ],
    );
    const flow = readings.filter(({ signal }) => signal === 'flow').at(-1);
    // MODEL 2: steady flow of the default riser, 867 gpm.
    expect(Math.abs((flow?.value ?? NaN) - 867)).toBeLessThan(5);
  });
});

describe('a crew of a story', () => {
  it('sees what there is to be seen, and what it did is written down', () => {
    const steps = [at(60, pull('active'))];
    const plan = [
      { name: 'see', step: { do: 'wait-until', sees: 'water-at-nozzles', atMost_s: 300 } },
      { name: 'close-supply-valve', step: { do: 'close-supply-valve' } },
    ] as const;
    const { truth } = runStory(storyOf(steps, { crews: [{ plan, from_s: 30, seed: 1 }] }));

    expect(truth.crews[0]?.map(({ outcome, step }) => [step, outcome])).toEqual([
      ['see', 'seen'],
      ['close-supply-valve', 'done'],
    ]);
    expect(truth.acts.map(({ act, by }) => [act, by])).toEqual([
      ['device', 'steps 1'],
      ['valve', 'crew 1'],
    ]);
    expect(truth.openings.supply.at(-1)?.position).toBe(0);
  });

  it('has the same pace from the same seed, and another from another', () => {
    const plan = [{ name: 'reset', step: { do: 'reset' } }] as const;
    const ended = (seed: number) =>
      runStory(storyOf([], { crews: [{ plan, from_s: 30, seed }] })).truth.crews[0]?.[0]?.ended_s;

    expect(ended(1)).toBe(ended(1));
    expect(ended(1)).not.toBe(ended(seededRandom(2).between(2, 1_000)));
  });
});

describe('the truth of a story', () => {
  it('tells water through the valve from water that only drains', () => {
    const { truth } = runStory(storyOf([at(60, pull('active')), later(60, turn('supply', 0, 15))]));
    const [water, spray] = [truth.water[0], truth.spray[0]];

    expect(spray?.to_s).toBeGreaterThan(water?.to_s ?? Infinity);
  });
});
