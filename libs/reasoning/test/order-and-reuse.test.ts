import { fc, test } from '@fast-check/vitest';
import { describe, expect } from 'vitest';
import type { Profile, RiserEvent } from '@tidemark/riser';
import { initialTwin, nextDeadline, restoreTwin, step, storeTwin, viewOf } from '@tidemark/reasoning';
import type { Twin } from '@tidemark/reasoning';
import type { ContactName, SignalContent } from '@tidemark/signals';
import { at, begin, command, profileWith, profileWithout, signal, tellStory } from './story.ts';

const profiles = [
  profileWith(),
  profileWith('panel: { restorals: reset, supervisoryRestorals: reset, releaseDelaySeconds: 30 }'),
  profileWith('trim: { alarmTestSource: downstream, primeValveClosedForRestoration: true }'),
  profileWithout('solenoid'),
  profileWithout('waterflow', 'release-disconnect'),
];
const latency_ms = 10_000;

const names = [
  'manual-pull',
  'heat',
  'waterflow',
  'supply-valve',
  'prime-pressure-low',
  'solenoid',
  'release-disconnect',
  'prime-valve',
  'ac-power',
  'panel-alarm',
] as const satisfies readonly ContactName[];

const contact: fc.Arbitrary<SignalContent> = fc
  .tuple(fc.constantFrom(...names), fc.constantFrom('active', 'restored'))
  .map(([name, state]) => ({ kind: 'contact', name, state }));

const content: fc.Arbitrary<SignalContent> = fc.oneof(
  { weight: 8, arbitrary: contact },
  { weight: 2, arbitrary: fc.constant({ kind: 'act', name: 'reset' } as const) },
  { weight: 1, arbitrary: fc.constant({ kind: 'periodic-test', name: 'periodic-test' } as const) },
  { weight: 1, arbitrary: fc.constant({ kind: 'act', name: 'silence' } as const) },
);

interface Said {
  readonly content: SignalContent;
  /** The panel's clock, ms from the beginning. */
  readonly observed_ms: number;
  /** How long it took, in each of two tellings. */
  readonly delays_ms: readonly [number, number];
  /** It comes again so long after it came, in the second telling. */
  readonly again_ms: number | undefined;
}

const delay_ms = fc.oneof(fc.constant(0), fc.integer({ min: 0, max: latency_ms }));

/** Signals close to each other, no two at the same moment, each at most the latency late. */
const story: fc.Arbitrary<readonly Said[]> = fc
  .uniqueArray(
    fc.record({
      content,
      observed_ms: fc.integer({ min: 20_000, max: 400_000 }),
      delays_ms: fc.tuple(delay_ms, delay_ms),
      again_ms: fc.option(fc.nat(5_000), { nil: undefined, freq: 8 }),
    }),
    { minLength: 2, maxLength: 40, selector: ({ observed_ms }) => observed_ms },
  )
  .map((said) => said.toSorted((one, other) => one.observed_ms - other.observed_ms));

/** The first signal is as quick as any, so that both tellings know the same least delay. */
const first = signal(0, { kind: 'periodic-test', name: 'periodic-test' });

/** And the last one is the last received in both: which one was heard last is a matter of receipt. */
const last = signal(450, { kind: 'contact', name: 'ac-power', state: 'restored' });

function received(said: readonly Said[], telling: 0 | 1): readonly RiserEvent[] {
  const events = said.flatMap(({ content: each, observed_ms, delays_ms, again_ms }, index): readonly RiserEvent[] => {
    const seconds = (observed_ms + delays_ms[telling]) / 1_000;
    const event = { ...signal(seconds, each, { observed: observed_ms / 1_000 }), id: `s${index}` };
    const repeat: RiserEvent = {
      type: 'signal-repeated',
      id: `s${index} again`,
      receivedAt: at(seconds + (again_ms ?? 0) / 1_000),
      source: '/quayside-cold-store/panel-2',
    };
    return telling === 1 && again_ms !== undefined ? [event, repeat] : [event];
  });
  return [first, ...events.toSorted((one, other) => one.receivedAt - other.receivedAt), last];
}

/** Long after every deadline of the profiles above, so that what was due is due in both tellings. */
const until_s = 40_000;

/** What is so in the end, receipts aside: they are the order in which things came. */
function finalState(profile: Profile, events: readonly RiserEvent[]): object {
  const { twin } = tellStory(profile, events, until_s);
  const view = viewOf(twin, at(until_s));
  return {
    phase: view.phase,
    points: view.points.map(({ point, signal: name, state, since, heardAt }) => ({
      point,
      name,
      state,
      since,
      heardAt,
    })),
    positions: view.positions,
    restoration: view.restoration.map(({ step: name, status, evidence }) => ({ name, status, evidence })),
    episode: view.episode && { began: view.episode.began, story: view.episode.story },
    findings: view.findings
      .map(({ code, severity, evidence }) => ({ code, severity, evidence }))
      .toSorted((one, other) => (one.code < other.code ? -1 : one.code > other.code ? 1 : 0)),
  };
}

const runs = { numRuns: 150, seed: 20_261_125 };

describe('signals within the allowed lateness', () => {
  test.prop([story, fc.constantFrom(...profiles)], runs)(
    'come to the same in whatever order and however often they arrive',
    (said, profile) => {
      expect(finalState(profile, received(said, 1))).toEqual(finalState(profile, received(said, 0)));
    },
  );
});

/** Every condition with its words. */
const spoken = ({ conditions }: Twin): readonly object[] =>
  conditions.map(({ say, ...condition }) => ({ ...condition, said: say() }));

describe('a twin after any event', () => {
  test.prop([story, fc.constantFrom(...profiles), fc.boolean()], runs)(
    'holds what its rules say when all are asked anew, and goes on alike when it was stored',
    (said, profile, inTest) => {
      const opening = inTest
        ? [command(1, { command: 'test-begin', forSeconds: 300, expect: ['waterflow'] })]
        : [command(1, { command: 'impairment-begin', kind: 'planned', reason: 'work' })];
      let twin = initialTwin(profile, begin);
      for (const event of [...opening, ...received(said, 0)]) {
        twin = step(twin, event).twin;
        const restored = restoreTwin(structuredClone(storeTwin(twin)));

        expect(spoken(twin)).toEqual(spoken(restored));
        const due = nextDeadline(twin);
        if (due === undefined) continue;
        const passed: RiserEvent = { type: 'time-reached', id: 't', receivedAt: due };
        expect(step(restored, passed).outputs).toEqual(step(twin, passed).outputs);
      }
    },
  );
});
