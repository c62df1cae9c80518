import { fc, test } from '@fast-check/vitest';
import { defaultFigures } from '@tidemark/hydraulics';
import { seededRandom } from '@tidemark/kernel';
import { parseProfile } from '@tidemark/riser';
import type { Profile } from '@tidemark/riser';
import { causeIds } from '@tidemark/words';
import { describe, expect, it } from 'vitest';
import {
  advancePanel,
  createLink,
  createPanel,
  injections,
  operatePanel,
  panelSettings,
  planCrew,
  plausibleSize,
  procedures,
  programmed,
  receive,
  say,
  wiredAt,
} from '../../src/index.ts';
import type { Injected, Injection, Panel, PanelInput, PanelOutput } from '../../src/index.ts';
import { plain, turned } from '../link/heard.ts';
import { move, play, turns } from '../plant/story.ts';
import type { Act, Told } from '../plant/story.ts';
import { advance, createPlant } from '../../src/index.ts';

function profileOf(points: string): Profile {
  const text = `account: quayside-cold-store
riser: deluge-1
site: { name: Quayside cold store, timeZone: Europe/Oslo }
release: electric
points:
${points}`;
  const read = parseProfile(text, 'test.riser.yaml');
  if (!read.ok) throw new Error(JSON.stringify(read.failure));
  return read.value;
}

const profile = profileOf(`  - { point: 1, signal: manual-pull }
  - { point: 2, signal: heat }
  - { point: 3, signal: waterflow }
  - { point: 4, signal: supply-valve }
  - { point: 5, signal: prime-pressure-low }
  - { point: 6, signal: solenoid }
  - { point: 7, signal: release-disconnect }
`);

const all = injections(defaultFigures, profile);
const named = all.map((each) => [`${each.cause} ${each.row} ${each.form}`.trim(), each] as const);

function found(row: string, form = '', among: readonly Injection[] = all): Injection {
  const one = among.find((each) => each.row === row && each.form === form);
  if (one === undefined) throw new Error(`no injection ${row} ${form}`);
  return one;
}

const numbered = (letter: string, count: number, without: readonly number[] = []): readonly string[] =>
  Array.from({ length: count }, (_, index) => index + 1)
    .filter((number) => !without.includes(number))
    .map((number) => `${letter}${number}`);

describe('the injections', () => {
  it('are there for every cause of the contract', () => {
    expect([...new Set(all.map(({ cause }) => cause))]).toEqual(causeIds);
  });

  it('are there for every row of the catalogue but the one that changes no signal', () => {
    // CONTRACT 8: R16 changes no signal and has no id.
    const rows = [
      ...numbered('S', 12),
      ...numbered('P', 17),
      ...numbered('R', 16, [16]),
      ...numbered('V', 12),
      ...numbered('A', 19),
      ...numbered('C', 9),
      ...numbered('K', 8),
    ];

    expect([...new Set(all.map(({ row }) => row))].toSorted()).toEqual(['', ...rows].toSorted());
  });

  it('can be told apart by row and form', () => {
    expect(new Set(named.map(([name]) => name)).size).toBe(all.length);
  });

  it.each(named)('say what is wrong and what is seen (%s)', (_name, { observable, wrong }) => {
    expect(wrong).toMatch(/\S/);
    expect(observable).toMatch(/\S/);
  });

  it.each(named.filter(([, { size }]) => size !== undefined))(
    'have sizes in order, and their size matters (%s)',
    (_name, { apply, size }) => {
      expect(size!.least).toBeLessThanOrEqual(size!.usual);
      expect(size!.usual).toBeLessThanOrEqual(size!.most);
      expect(apply(size!.least)).not.toEqual(apply(size!.most));
    },
  );

  it.each(named)('say where they belong (%s)', (_name, { apply, size, where }) => {
    expect(apply(size?.usual ?? 1).where).toBe(where);
  });

  test.prop([fc.integer()])('have a plausible size within their range, by the seed', (seed) => {
    for (const each of all) {
      const size = plausibleSize(each, seededRandom(seed).fork(each.row));
      expect(size).toBe(plausibleSize(each, seededRandom(seed).fork(each.row)));
      expect(size).toBeGreaterThanOrEqual(each.size?.least ?? 1);
      expect(size).toBeLessThanOrEqual(each.size?.most ?? 1);
    }
  });

  it('have sizes about the usual one, in a triangle over their range', () => {
    // Of a triangular distribution from a over c to b: mean (a + b + c) / 3, and (c - a) / (b - a) of it lies below c.
    const random = seededRandom(1);
    const each = found('A17');
    const { least, most, usual } = each.size!;
    const drawn = Array.from({ length: 20_000 }, () => plausibleSize(each, random));

    const mean = drawn.reduce((sum, size) => sum + size, 0) / drawn.length;
    const below = drawn.filter((size) => size < usual).length / drawn.length;
    expect(Math.abs(mean - (least + most + usual) / 3)).toBeLessThan(0.7);
    expect(Math.abs(below - (usual - least) / (most - least))).toBeLessThan(0.014);
  });

  it('leave out what the riser has no point for', () => {
    const without = injections(defaultFigures, profileOf('  - { point: 3, signal: waterflow }\n'));

    const missing = causeIds.filter((cause) => !without.some((each) => each.cause === cause));
    expect(missing).toEqual([
      'initiating-device-stuck',
      'initiating-device-dead',
      'initiating-circuit-open',
      'points-swapped',
    ]);
  });

  it('can be aimed at a device', () => {
    const aimed = injections(defaultFigures, profile, { point: 2 });

    expect(found('C2', '', aimed).apply(1)).toMatchObject({ dead: [2] });
    expect(found('C2').apply(1)).toMatchObject({ dead: [1] });
  });
});

/** A riser with a fault of a size from 10 s on. */
function faulty(
  injection: Injection,
  size: number,
  { acts, until_s }: { acts: readonly Act[]; until_s: number },
): Told {
  const injected = injection.apply(size);
  if (injected.where !== 'plant') throw new Error('not of the plant');
  const parts = injected.parts.map(({ after_s, lasts_s, patch }, index): Act => {
    const from_s = 10 + after_s;
    const until = lasts_s === undefined ? {} : { until_s: from_s + lasts_s };
    return [10, { type: 'fault', fault: { id: String(index), patch, from_s, ...until } }];
  });
  const moves = injected.moves.map(({ to, valve }): Act => [10, move(valve, to, 0)]);
  return play(createPlant(defaultFigures), [...parts, ...moves, ...acts], until_s);
}

const release: readonly Act[] = [[100, move('solenoid', 1)]];

describe('a fault of the plant', () => {
  it.each(named.filter(([, { where }]) => where === 'plant'))(
    'can be lived through in its least and in its most size (%s)',
    (_name, each) => {
      for (const size of [each.size?.least ?? 1, each.size?.most ?? 1]) {
        const told = faulty(each, size, {
          acts: [...release, [200, move('supply', 0)], [230, move('system-drain', 1)]],
          until_s: 600,
        });
        expect(advance(told.plant, 601).plant.state.at_s).toBeGreaterThan(0);
        expect(told.events.every(({ at_s }) => Number.isFinite(at_s))).toBe(true);
      }
    },
  );

  it('delays waterflow the more, the less a supply valve is open', () => {
    const flow_s = [0.4, 0.2, 0.1].map(
      (opening) => turns(faulty(found('S2'), opening, { acts: release, until_s: 400 }), 'waterflow+')[0]!,
    );

    expect(flow_s).toEqual(flow_s.toSorted((one, other) => one - other));
    expect(flow_s[2]! - flow_s[0]!).toBeGreaterThan(1);
  });

  it('shifts waterflow by its retard exactly', () => {
    const flow_s = (size: number) =>
      turns(faulty(found('A17'), size, { acts: release, until_s: 400 }), 'waterflow+')[0]!;

    expect(flow_s(90) - flow_s(30)).toBeCloseTo(60, 2);
  });

  it('that passes is over by itself', () => {
    const told = faulty(found('S9'), 0.8, { acts: [], until_s: 120 });

    expect(turns(told, 'supply-pressure-low+')).toHaveLength(1);
    expect(turns(told, 'supply-pressure-low-')).toHaveLength(1);
  });

  it('of the chamber warns between its rows: nothing, priming pressure low, a trip', () => {
    const signs = ['P11', 'P12', 'P13'].map((row) => {
      const each = found(row);
      const told = faulty(each, each.size!.usual, { acts: [], until_s: 300 });
      return [turns(told, 'prime-pressure-low+').length > 0, turns(told, 'waterflow+').length > 0];
    });

    expect(signs).toEqual([
      [false, false],
      [true, false],
      [true, true],
    ]);
  });
});

/** A panel of the profile and what it said and did. */
class AtPanel {
  outputs: PanelOutput[] = [];
  #panel: Panel;

  constructor(settings = panelSettings(profile)) {
    this.#panel = createPanel(settings, 0);
  }

  do(at_s: number, ...inputs: readonly PanelInput[]): this {
    for (const input of inputs) {
      const { outputs, panel } = operatePanel(this.#panel, at_s, input);
      this.outputs.push(...outputs);
      this.#panel = panel;
    }
    return this;
  }

  until(at_s: number): readonly string[] {
    const { outputs, panel } = advancePanel(this.#panel, at_s);
    this.outputs.push(...outputs);
    this.#panel = panel;
    return this.outputs.flatMap((output) =>
      output.type === 'signal' && output.at_s > 0
        ? [`${output.data.signal} ${'state' in output.data ? output.data.state : ''}`]
        : [],
    );
  }
}

function inputsOf(injected: Injected): { readonly begin: readonly PanelInput[]; readonly end: readonly PanelInput[] } {
  if (injected.where !== 'panel') throw new Error('not of the panel');
  return injected;
}

const pulled: PanelInput = { type: 'contact', point: 1, active: true };

describe('a fault of the panel and its wiring', () => {
  it.each([
    ['R2', '', 'release-circuit active'],
    ['R2', 'short', 'release-circuit active'],
    ['R3', '', undefined],
    ['C4', '', 'release-disconnect active'],
  ])('keeps the release from acting (%s %s)', (row, form, told) => {
    const { begin, end } = inputsOf(found(row, form).apply(1));
    const during = new AtPanel().do(10, ...begin).do(400, pulled);

    const said = during.until(500);
    expect(said).toContain('manual-pull active');
    expect(said).not.toContain('solenoid active');
    if (told === undefined) expect(said.some((each) => each.includes('release'))).toBe(false);
    else expect(said).toContain(told);
    const after = new AtPanel()
      .do(10, ...begin)
      .do(300, ...end)
      .do(600, pulled);
    expect(after.until(700)).toContain('solenoid active');
  });

  it('that is a stuck device brings its alarm back after every reset', () => {
    const { begin } = inputsOf(found('C1').apply(1));
    const said = new AtPanel()
      .do(10, ...begin)
      .do(20, { type: 'contact', point: 1, active: false })
      .do(60, { type: 'button', button: 'reset' })
      .until(120);

    expect(said.filter((each) => each === 'manual-pull active')).toHaveLength(2);
    expect(said.filter((each) => each === 'solenoid active')).toHaveLength(2);
  });

  it('that is an open circuit gives trouble and hides its device', () => {
    const { begin } = inputsOf(found('C3').apply(1));
    const said = new AtPanel()
      .do(10, ...begin)
      .do(400, pulled)
      .until(500);

    expect(said).toContain('initiating-circuit active');
    expect(said).not.toContain('manual-pull active');
  });

  it('silences a panel that has no power at all', () => {
    const { begin, end } = inputsOf(found('C9', 'all').apply(1));
    const dark = new AtPanel().do(10, ...begin).do(400, pulled);

    expect(dark.until(500)).not.toContain('manual-pull active');
    expect(dark.do(600, ...end).until(1_000)).toContain('manual-pull active');
  });

  it('programmes supervisory points otherwise than the profile says', () => {
    const injected = found('C7').apply(1);
    if (injected.where !== 'profile') throw new Error('not of the profile');
    const settings = programmed(panelSettings(profile), injected.programme);

    const opened = (at: AtPanel) =>
      at
        .do(10, { type: 'contact', point: 4, active: true })
        .do(60, { type: 'contact', point: 4, active: false })
        .until(120);
    expect(opened(new AtPanel())).toContain('supply-valve restored');
    expect(opened(new AtPanel(settings))).not.toContain('supply-valve restored');
  });

  it('wires two points to each other and leaves the others alone', () => {
    const injected = found('C8').apply(1);
    if (injected.where !== 'profile') throw new Error('not of the profile');

    expect([1, 2, 3, 4, 5].map((point) => wiredAt(point, injected.programme))).toEqual([1, 2, 5, 4, 3]);
    expect(wiredAt(3, {})).toBe(3);
  });
});

describe('a trouble of the link', () => {
  const arrives = (row: string, form = '', size?: number): readonly string[] => {
    const each = found(row, form);
    const injected = each.apply(size ?? each.size?.usual ?? 1);
    if (injected.where !== 'link') throw new Error('not of the link');
    const { lasts_s = 10_000, trouble } = injected;
    let link = createLink(plain, { troubles: [{ id: 'k', from_s: 5, until_s: 5 + lasts_s, ...trouble }] });
    for (let at_s = 10; at_s < 40; at_s += 1) link = say(link, turned(at_s, 'heat', at_s % 2 === 0)).link;
    return receive(link, 1e6).deliveries.map((each) =>
      each.topic === 'link'
        ? each.message.link
        : `${each.event.sequence} ${each.event.time} ${each.received_s.toFixed(1)}`,
    );
  };

  it.each([
    // [row, form, size, how many messages arrive, the first signal]; a panel says 30 things, one a second from 10 s on.
    ['K1', '', 20, 1 + 15, '0000000016 2026-03-02T08:00:25.000Z 25.2'],
    ['K2', '', 20, 1 + 30, '0000000001 2026-03-02T08:00:10.000Z 25.2'],
    ['K2', 'slow', 60, 1 + 30, '0000000001 2026-03-02T08:00:10.000Z 70.2'],
    ['K5', '', 120, 1 + 30, '0000000001 2026-03-02T08:02:10.000Z 10.2'],
    ['K5', 'behind', 120, 1 + 30, '0000000001 2026-03-02T07:58:10.000Z 10.2'],
    ['K6', '', 3_600, 1 + 30, '0000000001 2026-03-02T08:00:10.208Z 10.2'],
    ['K6', 'step', undefined, 1 + 30, '0000000001 2026-03-02T09:00:10.000Z 10.2'],
    ['K7', '', undefined, 1 + 15, '0000000001 2026-03-02T08:00:10.000Z 10.2'],
    ['K8', '', 2, 1 + 4, '0000000001 2026-03-02T08:00:10.000Z 10.2'],
    ['K3', '', 1, 1 + 60, '0000000001 2026-03-02T08:00:10.000Z 10.2'],
    ['K1', 'in part', 1, 1, undefined],
  ])('%s %s of size %s', (row, form, size, count, first) => {
    const told = arrives(row, form, size);

    expect(told).toHaveLength(count);
    expect(told[1]).toBe(first);
  });

  it('lets some signals be overtaken (K4)', () => {
    const numbers = arrives('K4')
      .slice(1)
      .map((each) => each.slice(0, 10));

    expect(numbers).not.toEqual(numbers.toSorted());
    expect(numbers).toHaveLength(30);
  });
});

describe('a mistake of people', () => {
  it.each(named.filter(([, { where }]) => where === 'crew'))(
    'can be made in its procedure (%s)',
    (_name, { apply, size }) => {
      const injected = apply(size?.usual ?? 1);
      if (injected.where !== 'crew') throw new Error('not of the crew');
      const script =
        injected.procedure === 'devicesTest'
          ? procedures.devicesTest({ forSeconds: 3_600, points: [1, 2] })
          : procedures.restoration({ point: 1 });
      const [right, wrong] = [planCrew(script), planCrew(script, injected.mistakes)];

      expect(wrong.ok && wrong.value.some(({ mistake }) => mistake !== undefined)).toBe(true);
      expect(wrong).not.toEqual(right);
    },
  );
});
