import type { Instant, Random } from '@tidemark/kernel';
import { instant, invariant } from '@tidemark/kernel';
import type { Profile, RiserEvent } from '@tidemark/riser';
import { decodeRiserEvent, encodeRiserEvent, parseProfile } from '@tidemark/riser';
import { deriveEventId } from '@tidemark/journal';
import type { ContactName, SignalContent } from '@tidemark/signals';

/** 2026-03-02T08:00:00Z. */
export const begin = instant(Date.UTC(2026, 2, 2, 8));

const hour_ms = 3_600_000;

/** What a riser does in one hour. */
export type Pastime = 'quiet' | 'flicker' | 'storm' | 'alarm test' | 'trip' | 'trip gone wrong';

/** Shares of the risers in one hour of mixed traffic; a choice of this project, with more trouble than any real fleet has. */
const mixed: readonly (readonly [Pastime, number])[] = [
  ['quiet', 0.8],
  ['flicker', 0.09],
  ['storm', 0.03],
  ['alarm test', 0.03],
  ['trip', 0.03],
  ['trip gone wrong', 0.02],
];

/** One thing said, at a moment in s. */
type Line = readonly [at_s: number, said: SignalContent | 'test-begin' | 'test-end'];

const contact = (at_s: number, name: ContactName, state: 'active' | 'restored'): Line => [
  at_s,
  { kind: 'contact', name, state },
];
const reset = (at_s: number): Line => [at_s, { kind: 'act', name: 'reset' }];
const periodicTest = (at_s: number): Line => [at_s, { kind: 'periodic-test', name: 'periodic-test' }];

const flicker = (at_s: number, name: ContactName, for_s: number): readonly Line[] => [
  contact(at_s, name, 'active'),
  contact(at_s + for_s, name, 'restored'),
];

/** The default riser's trip (MODEL 2: priming 11 ms, flow 0.48 s after the solenoid). */
const trip = (at_s: number): readonly Line[] => [
  contact(at_s, 'manual-pull', 'active'),
  contact(at_s + 0.05, 'solenoid', 'active'),
  contact(at_s + 0.061, 'prime-pressure-low', 'active'),
  contact(at_s + 0.53, 'waterflow', 'active'),
];

const backToService = (at_s: number): readonly Line[] => [
  reset(at_s),
  contact(at_s + 0.1, 'solenoid', 'restored'),
  contact(at_s + 0.3, 'prime-pressure-low', 'restored'),
  contact(at_s + 400, 'supply-valve', 'restored'),
  reset(at_s + 500),
];

/** The lines of one hour, in order. Each ends with the riser at rest. */
function linesOf(pastime: Pastime, random: Random): readonly Line[] {
  const at_s = random.between(60, 900);
  switch (pastime) {
    case 'quiet':
      return [periodicTest(at_s), periodicTest(at_s + 1_200), periodicTest(at_s + 2_400)];
    case 'flicker': {
      const name = (['ac-power', 'low-temperature', 'supply-pressure-low', 'communication'] as const)[
        random.between(0, 3)
      ];
      invariant(name !== undefined, 'one of four');
      return [...flicker(at_s, name, random.between(2, 90)), periodicTest(at_s + 1_800)];
    }
    case 'storm':
      return Array.from({ length: 25 }, (_, index) =>
        flicker(at_s + 5 * index, index % 3 === 0 ? 'ac-power' : 'supply-pressure-low', 2),
      ).flat();
    case 'alarm test':
      return [
        [at_s, 'test-begin'],
        contact(at_s + 120, 'waterflow', 'active'),
        contact(at_s + 180, 'waterflow', 'restored'),
        reset(at_s + 240),
        [at_s + 300, 'test-end'],
      ];
    case 'trip':
      return [
        ...trip(at_s),
        contact(at_s + 600, 'supply-valve', 'active'),
        contact(at_s + 700, 'waterflow', 'restored'),
        contact(at_s + 900, 'manual-pull', 'restored'),
        ...backToService(at_s + 1_000),
      ];
    case 'trip gone wrong':
      if (random.next() < 0.5)
        return [
          ...trip(at_s).slice(0, 3),
          contact(at_s + 600, 'supply-valve', 'active'),
          contact(at_s + 900, 'manual-pull', 'restored'),
          ...backToService(at_s + 1_000),
        ];
      return [
        contact(at_s - 30, 'supply-valve', 'active'),
        ...trip(at_s),
        contact(at_s + 100, 'waterflow', 'restored'),
        reset(at_s + 200),
        contact(at_s + 201, 'waterflow', 'active'),
        contact(at_s + 300, 'waterflow', 'restored'),
        contact(at_s + 900, 'manual-pull', 'restored'),
        ...backToService(at_s + 1_000),
      ];
  }
}

/** One event of one riser of a fleet. */
export interface Sent {
  readonly riser: number;
  readonly event: RiserEvent;
}

/** How the traffic of an hour comes about. */
export interface TrafficOptions {
  readonly risers: number;
  readonly hour: number;
  readonly random: Random;
  /** All risers do the same; absent: the mix. */
  readonly pastime?: Pastime;
  /** Whether one signal in twenty comes up to 8 s late, and one in a hundred twice; else each comes at once. */
  readonly disorder: boolean;
}

/** The traffic of a fleet in one hour, in order of receipt, each event as the journal gives it back. */
export function hourOf({ risers, hour, random, pastime, disorder }: TrafficOptions): readonly Sent[] {
  const sent: Sent[] = [];
  const from_ms = begin + hour * hour_ms;
  for (let riser = 0; riser < risers; riser += 1) {
    const lines = linesOf(pastime ?? drawn(random), random);
    lines.forEach(([at_s, said], index) => {
      const observedAt = instant(from_ms + Math.round(at_s * 1_000));
      const late_ms = disorder && random.next() < 0.05 ? random.between(0, 8_000) : 0;
      const receivedAt = instant(observedAt + 40 + late_ms);
      const id = deriveEventId(['bench', String(riser), String(hour), String(index)]);
      const event = eventOf(said, { id, riser, observedAt, receivedAt });
      sent.push({ riser, event });
      if (disorder && event.type === 'signal-received' && random.next() < 0.01)
        sent.push({ riser, event: { type: 'signal-repeated', id: `${id} again`, receivedAt, source: event.source } });
    });
  }
  return sent.sort((one, other) => one.event.receivedAt - other.event.receivedAt);
}

function drawn(random: Random): Pastime {
  let left = random.next();
  for (const [pastime, share] of mixed) if ((left -= share) < 0) return pastime;
  return 'quiet';
}

interface Address {
  readonly id: string;
  readonly riser: number;
  readonly observedAt: Instant;
  readonly receivedAt: Instant;
}

/** Written and read back as the journal does it, so that texts and shapes are those of a running station. */
function eventOf(said: Line[1], { id, riser, observedAt, receivedAt }: Address): RiserEvent {
  const event: RiserEvent =
    typeof said === 'string'
      ? {
          type: 'command-given',
          id,
          receivedAt,
          by: 'bench',
          command:
            said === 'test-end' ? { command: said } : { command: said, forSeconds: 1_800, expect: ['waterflow'] },
        }
      : { type: 'signal-received', id, receivedAt, observedAt, source: `/site-${riser}/panel-1`, content: said };
  const { type, data } = encodeRiserEvent(event);
  const decoded = decodeRiserEvent({ id, type, data: JSON.parse(JSON.stringify(data)) as typeof data });
  invariant(decoded.ok, 'what was encoded is understood');
  return decoded.value;
}

/** A riser of its own, as its profile comes from the journal: nothing shared with another riser's. */
export function profileOf(riser: number): Profile {
  const parsed = parseProfile(
    `
account: site-${riser}
riser: deluge-1
site: { name: Quayside cold store ${riser}, timeZone: Europe/Oslo }
release: electric
points:
  - { point: 1, signal: manual-pull, label: "Pull station, loading dock ${riser}" }
  - { point: 2, signal: heat, label: "Heat detectors, dock roof ${riser}" }
  - { point: 3, signal: waterflow, label: Waterflow switch ${riser} }
  - { point: 4, signal: supply-valve, label: Supply valve ${riser} }
  - { point: 5, signal: prime-pressure-low, label: Priming pressure ${riser} }
  - { point: 6, signal: solenoid, label: Release solenoid ${riser} }
  - { point: 7, signal: release-disconnect, label: Release disconnect switch ${riser} }
  - { point: 8, signal: low-temperature, label: Frost guard ${riser} }
  - { point: 9, signal: supply-pressure-low, label: Supply pressure ${riser} }
`,
    'bench.riser.yaml',
  );
  invariant(parsed.ok, 'the profile of the bench is valid');
  return JSON.parse(JSON.stringify(parsed.value)) as Profile;
}
