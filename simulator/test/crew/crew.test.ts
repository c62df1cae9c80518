import { fc, test } from '@fast-check/vitest';
import { describe, expect, it } from 'vitest';
import { createCrew, crewDue_s, crewTurn, planCrew, procedures } from '../../src/index.ts';
import type { Crew, CrewAct, CrewStep, Mistake, Sight, StepRecord } from '../../src/index.ts';

const nothing: Sight = {
  gauges_Pa: { supply: 690e3, priming: 690e3 },
  water: { nozzles: false, systemDrains: false, supplyDrain: false, ventCup: false },
  panel: { alarm: false, supervisory: false, trouble: false, active: [] },
};

/** What a crew did, and what became of its steps. */
interface Work {
  readonly acts: readonly CrewAct[];
  readonly records: readonly StepRecord[];
  readonly ended_s: number;
}

/** Lets a crew work to its end with what there is to be seen at each moment. */
function work(crew: Crew, sight: (at_s: number) => Sight = () => nothing): Work {
  const acts: CrewAct[] = [];
  const records: StepRecord[] = [];
  let [now, ended_s] = [crew, 0];
  for (let due_s = crewDue_s(now); due_s !== undefined; due_s = crewDue_s(now)) {
    const turn = crewTurn(now, sight(due_s));
    acts.push(...turn.acts);
    records.push(...turn.records);
    [now, ended_s] = [turn.crew, due_s];
  }
  return { acts, records, ended_s };
}

function sent(steps: readonly CrewStep[], mistakes: readonly Mistake[] = [], seed = 1): Crew {
  const plan = planCrew(steps, mistakes);
  if (!plan.ok) throw new Error(plan.failure.expected);
  return createCrew({ plan: plan.value, from_s: 100, seed });
}

const names = ({ records }: Work): readonly string[] =>
  records.map(({ mistake, outcome, step }) => [step, outcome, ...(mistake === undefined ? [] : [mistake])].join(' '));

const drains: readonly CrewStep[] = [
  { do: 'close-supply-valve' },
  { do: 'open-system-drain' },
  { name: 'dry', do: 'wait-until', sees: 'drains-dry', atMost_s: 600 },
  { do: 'reset' },
];

describe('a crew', () => {
  it('does its steps in their order, one after another, and writes down when', () => {
    const { acts, records } = work(sent(drains));

    expect(acts.map(({ act }) => act)).toEqual(['valve', 'valve', 'button']);
    expect(records.map(({ step }) => step)).toEqual(['close-supply-valve', 'open-system-drain', 'dry', 'reset']);
    records.forEach(({ began_s, ended_s }, index) => {
      expect(ended_s).toBeGreaterThanOrEqual(began_s);
      expect(began_s).toBeGreaterThanOrEqual(records[index - 1]?.ended_s ?? 100);
    });
  });

  it('turns a valve from the beginning of its step to the end, and presses a button at the end', () => {
    const { acts, records } = work(sent(drains));

    const [closing] = records;
    expect(acts[0]).toEqual({
      act: 'valve',
      valve: 'supply',
      to: 0,
      at_s: closing?.began_s,
      over_s: expect.closeTo(closing!.ended_s - closing!.began_s, 2),
    });
    expect(acts.at(-1)).toEqual({ act: 'button', button: 'reset', at_s: records.at(-1)?.ended_s });
  });

  it('walks where the next step is elsewhere', () => {
    const { records } = work(sent([{ do: 'silence' }, { do: 'reset' }, { do: 'open-system-drain' }]));

    const [silence, reset, drain] = records;
    expect(reset?.began_s).toBe(silence?.ended_s);
    // Fifteen seconds at the least, at the quickest pace.
    expect(drain!.began_s - reset!.ended_s).toBeGreaterThan(15 * 0.8);
  });

  it('waits for what it sees, and looks only now and then', () => {
    const wet = { ...nothing, water: { ...nothing.water, systemDrains: true } };
    const { records } = work(sent(drains), (at_s) => (at_s < 400 ? wet : nothing));

    const dry = records[2];
    expect(dry?.outcome).toBe('seen');
    expect(dry!.ended_s).toBeGreaterThanOrEqual(400);
    expect(dry!.ended_s).toBeLessThan(400 + 15 * 1.5);
  });

  it('goes on when it never sees it', () => {
    const wet = { ...nothing, water: { ...nothing.water, systemDrains: true } };
    const { records } = work(sent(drains), () => wet);

    expect(records[2]).toMatchObject({ step: 'dry', outcome: 'never-seen' });
    expect(records[2]!.ended_s - records[2]!.began_s).toBeCloseTo(600, 3);
    expect(records[3]?.outcome).toBe('done');
  });

  it('does not begin before it is told to', () => {
    const { records } = work(sent([{ do: 'reset', notBefore_s: 5_000 }]));

    expect(records[0]?.began_s).toBe(5_000);
  });

  it('leaves a valve where it is told', () => {
    const { acts } = work(sent([{ do: 'open-supply-valve', to: 0.4 }]));

    expect(acts).toMatchObject([{ valve: 'supply', to: 0.4 }]);
  });

  it('keeps the pace of every other step when one is taken out', () => {
    const lasts = ({ records }: Work) =>
      new Map(records.map(({ began_s, ended_s, step }) => [step, ended_s - began_s]));
    const all = lasts(work(sent(drains)));
    const fewer = lasts(work(sent(drains, [{ mistake: 'skip', step: 'open-system-drain' }])));

    expect(fewer.get('reset')).toBeCloseTo(all.get('reset')!, 6);
    expect(fewer.get('close-supply-valve')).toBeCloseTo(all.get('close-supply-valve')!, 6);
  });
});

describe('a mistake', () => {
  const told = (...mistakes: readonly Mistake[]) => names(work(sent(drains, mistakes)));

  it('may leave out a step', () => {
    expect(told({ mistake: 'skip', step: 'open-system-drain' })).toEqual([
      'close-supply-valve done',
      'open-system-drain skipped skip',
      'dry seen',
      'reset done',
    ]);
  });

  it('may swap two steps', () => {
    expect(told({ mistake: 'swap', step: 'close-supply-valve', with: 'reset' })).toEqual([
      'reset done swap',
      'open-system-drain done',
      'dry seen',
      'close-supply-valve done swap',
    ]);
  });

  it('may do half of a step, in half the time', () => {
    const half = work(sent(drains, [{ mistake: 'half-do', step: 'close-supply-valve', part: 0.5 }]));
    const whole = work(sent(drains));

    const lasts = ({ records: [first] }: Work) => first!.ended_s - first!.began_s;
    expect(half.acts[0]).toMatchObject({ valve: 'supply', to: 0.5 });
    expect(names(half)[0]).toBe('close-supply-valve half-done half-do');
    expect(lasts(half)).toBeCloseTo(lasts(whole) / 2, 2);
  });

  it('half of closing leaves more open than half of opening a third', () => {
    const to = (step: CrewStep, part: number) =>
      work(sent([{ ...step, name: 'turn' }], [{ mistake: 'half-do', step: 'turn', part }])).acts[0];

    expect(to({ do: 'close-supply-valve' }, 0.3)).toMatchObject({ to: 0.7 });
    expect(to({ do: 'open-supply-valve' }, 0.3)).toMatchObject({ to: 0.3 });
  });

  it('may come too early, before another step or without waiting', () => {
    expect(told({ mistake: 'too-early', step: 'reset', before: 'open-system-drain' })).toEqual([
      'close-supply-valve done',
      'reset done too-early',
      'open-system-drain done',
      'dry seen',
    ]);
    expect(told({ mistake: 'too-early', step: 'reset' })).toEqual([
      'close-supply-valve done',
      'open-system-drain done',
      'dry skipped too-early',
      'reset done too-early',
    ]);
  });

  it('may come too late', () => {
    const began = (mistakes: readonly Mistake[]) => work(sent(drains, mistakes)).records[1]!.began_s;

    expect(began([{ mistake: 'too-late', step: 'open-system-drain', by_s: 1_000 }]) - began([])).toBeCloseTo(1_000, 6);
  });

  it('may be to leave', () => {
    expect(told({ mistake: 'leave', before: 'dry' })).toEqual([
      'close-supply-valve done',
      'open-system-drain done',
      'dry skipped leave',
      'reset skipped leave',
    ]);
  });

  it('is made in what the mistakes before it have left', () => {
    const both = told(
      { mistake: 'too-early', step: 'reset', before: 'dry' },
      { mistake: 'skip', step: 'open-system-drain' },
    );

    expect(both).toEqual([
      'close-supply-valve done',
      'open-system-drain skipped skip',
      'reset done too-early',
      'dry seen',
    ]);
  });

  it('is refused where there is no such step, naming those there are', () => {
    const mistake = { mistake: 'skip', step: 'open-the-gate' } as const;

    expect(planCrew(drains, [mistake])).toEqual({
      ok: false,
      failure: {
        mistake,
        expected:
          'a step of the script instead of "open-the-gate", one of close-supply-valve, open-system-drain, dry, reset',
      },
    });
    expect(planCrew(drains, [{ mistake: 'half-do', step: 'reset', part: 2 }])).toMatchObject({ ok: false });
  });
});

describe('a script', () => {
  it('numbers steps that bear the same name', () => {
    const plan = planCrew([{ do: 'reset' }, { do: 'silence' }, { do: 'reset' }]);

    expect(plan.ok && plan.value.map(({ name }) => name)).toEqual(['reset', 'silence', 'reset-2']);
  });
});

const anyScript = fc.array(
  fc.constantFrom<CrewStep>(
    { do: 'close-supply-valve' },
    { do: 'open-system-drain' },
    { do: 'silence' },
    { do: 'reset' },
    { do: 'restore-device', point: 1 },
    { do: 'pause' },
    { do: 'wait-until', sees: 'water-at-drains', atMost_s: 60 },
    { do: 'tell-station', command: { command: 'test-end' } },
  ),
  { maxLength: 12 },
);

describe('whatever the script', () => {
  test.prop([anyScript, fc.integer()])('every step has one record, in order of time', (script, seed) => {
    const { records } = work(sent(script, [], seed));

    expect(records.map(({ task }) => task)).toEqual(script.map((step) => step.do));
    const times = records.flatMap(({ began_s, ended_s }) => [began_s, ended_s]);
    expect(times).toEqual(times.toSorted((one, other) => one - other));
  });

  test.prop([anyScript, fc.integer()])(
    'every step that moves something has one act within its time',
    (script, seed) => {
      const { acts, records } = work(sent(script, [], seed));

      const moving = records.filter(({ task }) => task !== 'pause' && task !== 'wait-until');
      expect(acts).toHaveLength(moving.length);
      acts.forEach(({ at_s }, index) => {
        expect(at_s).toBeGreaterThanOrEqual(moving[index]!.began_s);
        expect(at_s).toBeLessThanOrEqual(moving[index]!.ended_s);
      });
    },
  );

  test.prop([anyScript, fc.integer()])('the same seed gives the same work', (script, seed) => {
    expect(work(sent(script, [], seed))).toEqual(work(sent(script, [], seed)));
  });
});

describe('people', () => {
  it('differ in pace, around what is usual', () => {
    const lasted = Array.from({ length: 200 }, (_, seed) => work(sent(drains, [], seed)).ended_s - 100);

    expect(new Set(lasted).size).toBeGreaterThan(190);
    // A hand-wheel of 5 to 40 s, a quarter turn, a walk of 15 to 150 s and a button, times 0.8 to 1.5.
    expect(Math.min(...lasted)).toBeGreaterThan(0.8 * (5 + 0.4 + 15 + 2));
    expect(Math.max(...lasted)).toBeLessThan(1.5 * (40 + 3 + 150 + 20));
  });
});

describe('a ready-made procedure', () => {
  const announced = { forSeconds: 3_600 };

  it.each([
    ['restoration', procedures.restoration({ point: 1 })],
    ['alarmTest', procedures.alarmTest(announced)],
    ['mainDrainTest', procedures.mainDrainTest(announced)],
    ['tripTest', procedures.tripTest({ ...announced, point: 1 })],
    ['devicesTest', procedures.devicesTest({ ...announced, points: [1, 2] })],
    ['primeValveMaintenance', procedures.primeValveMaintenance()],
  ])('leaves every valve as it was (%s)', (_name, script) => {
    const { acts } = work(sent(script));

    const ends = new Map(acts.flatMap((act) => (act.act === 'valve' ? [[act.valve, act.to] as const] : [])));
    for (const [valve, to] of ends)
      expect([valve, to]).toEqual([valve, valve === 'supply' || valve === 'prime' ? 1 : 0]);
    expect(ends.size + acts.filter(({ act }) => act !== 'valve').length).toBeGreaterThan(1);
  });

  it('that disconnects the release connects it again', () => {
    const { acts } = work(sent(procedures.devicesTest({ ...announced, points: [1, 2] })));

    expect(acts.filter(({ act }) => act === 'switch')).toMatchObject([{ on: true }, { on: false }]);
  });
});
