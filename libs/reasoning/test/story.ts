import type { Instant } from '@tidemark/kernel';
import { instant } from '@tidemark/kernel';
import type { Finding, Output, Twin } from '@tidemark/reasoning';
import { initialTwin, nextDeadline, step } from '@tidemark/reasoning';
import type { Phase, Profile, RiserCommand, RiserEvent } from '@tidemark/riser';
import { parseProfile } from '@tidemark/riser';
import type { ContactName, SignalContent } from '@tidemark/signals';

/** 2026-03-02T08:00:00Z, where every story of these tests begins. */
export const begin = instant(Date.UTC(2026, 2, 2, 8));

/** A moment of a story, in seconds from its beginning. */
export const at = (seconds: number): Instant => instant(begin + seconds * 1_000);

const short = `
account: quayside-cold-store
riser: deluge-1
site: { name: Quayside cold store, timeZone: Europe/Oslo }
release: electric
points:
  - { point: 1, signal: manual-pull, label: "Pull station, loading dock" }
  - { point: 2, signal: heat, label: "Heat detectors, dock roof" }
  - { point: 3, signal: waterflow, label: Waterflow switch }
  - { point: 4, signal: supply-valve, label: Supply valve }
  - { point: 5, signal: prime-pressure-low, label: Priming pressure }
  - { point: 6, signal: solenoid, label: Release solenoid }
  - { point: 7, signal: release-disconnect, label: Release disconnect switch }
`;

/** The profile of CONTRACT section 3, with further YAML appended. */
export function profileWith(more = '', points = short): Profile {
  const parsed = parseProfile(`${points}${more}`, 'test.riser.yaml');
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.failure));
  return parsed.value;
}

/** The same riser without the points named. */
export const profileWithout = (...signals: readonly string[]): Profile =>
  profileWith(
    '',
    short
      .split('\n')
      .filter((line) => !signals.some((signal) => line.includes(`signal: ${signal},`)))
      .join('\n'),
  );

let count = 0;

interface Sent {
  /** When it happened on the panel's clock, s; receipt where left out. */
  readonly observed?: number;
  readonly sequence?: number;
  readonly point?: number;
  readonly source?: string;
}

/** A signal received at a moment of the story, s. */
export function signal(seconds: number, content: SignalContent, sent: Sent = {}): RiserEvent {
  count += 1;
  return {
    type: 'signal-received',
    id: `e${count}`,
    receivedAt: at(seconds),
    observedAt: at(sent.observed ?? seconds),
    source: sent.source ?? '/quayside-cold-store/panel-2',
    content,
    ...(sent.sequence === undefined ? {} : { sequence: BigInt(sent.sequence) }),
    ...(sent.point === undefined ? {} : { point: sent.point }),
  };
}

export const active = (seconds: number, name: ContactName, sent?: Sent): RiserEvent =>
  signal(seconds, { kind: 'contact', name, state: 'active' }, sent);

export const restored = (seconds: number, name: ContactName, sent?: Sent): RiserEvent =>
  signal(seconds, { kind: 'contact', name, state: 'restored' }, sent);

export const reset = (seconds: number, sent?: Sent): RiserEvent =>
  signal(seconds, { kind: 'act', name: 'reset' }, sent);

export const periodicTest = (seconds: number, sent?: Sent): RiserEvent =>
  signal(seconds, { kind: 'periodic-test', name: 'periodic-test' }, sent);

/** A command of the station. */
export function command(seconds: number, given: RiserCommand): RiserEvent {
  count += 1;
  return { type: 'command-given', id: `c${count}`, receivedAt: at(seconds), by: 'M. on shift', command: given };
}

/** What came of a story. */
export interface Told {
  readonly twin: Twin;
  readonly outputs: readonly Output[];
  readonly findings: readonly Finding[];
  readonly phases: readonly Phase[];
  /** Codes raised, in order. */
  readonly raised: readonly string[];
  /** Codes that still stand. */
  readonly standing: readonly string[];
}

/** Tells a story in order of receipt and lets the clock run on to `until`, s. */
export function tellStory(profile: Profile, events: readonly RiserEvent[], until = 0): Told {
  let twin = initialTwin(profile, begin);
  const outputs: Output[] = [];
  const take = (event: RiserEvent): void => {
    const stepped = step(twin, event);
    twin = stepped.twin;
    outputs.push(...stepped.outputs);
  };
  events.forEach(take);
  for (let due = nextDeadline(twin); due !== undefined && due <= at(until); due = nextDeadline(twin))
    take({ type: 'time-reached', id: `t${due}`, receivedAt: due });
  const findings = outputs.flatMap((output) => (output.type === 'finding' ? [output.finding] : []));
  return {
    twin,
    outputs,
    findings,
    phases: outputs.flatMap((output) => (output.type === 'phase-changed' ? [output.phase] : [])),
    raised: findings.filter(({ status }) => status === 'raised').map(({ code }) => code),
    standing: [...twin.ledger.values()].map(({ finding }) => finding.code),
  };
}

/** A trip as the default riser shows it (MODEL 2: priming 11 ms, flow 0.48 s after the solenoid). */
export const trip = (seconds: number): readonly RiserEvent[] => [
  active(seconds, 'manual-pull'),
  active(seconds + 0.05, 'solenoid'),
  active(seconds + 0.061, 'prime-pressure-low'),
  active(seconds + 0.53, 'waterflow'),
];

/** A trip and its restoration, done right, at a human pace. */
export const tripAndRestoration: readonly RiserEvent[] = [
  periodicTest(0),
  ...trip(60),
  signal(120, { kind: 'act', name: 'silence' }),
  active(900, 'supply-valve'),
  restored(1_000, 'waterflow'),
  restored(1_300, 'manual-pull'),
  reset(1_500),
  restored(1_500.1, 'solenoid'),
  restored(1_500.27, 'prime-pressure-low'),
  active(1_502, 'supply-valve'),
  restored(1_900, 'supply-valve'),
  reset(2_000),
];
