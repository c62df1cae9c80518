import { instant, invariant, seededRandom } from '@tidemark/kernel';
import type { Instant } from '@tidemark/kernel';
import { nextDeadline } from '@tidemark/reasoning';
import type { Twin } from '@tidemark/reasoning';
import type { RiserCommand, RiserEvent } from '@tidemark/riser';
import { riserFold } from '../../services/twin/src/riser-fold.ts';
import { twinCodec } from '../../services/twin/src/twin-codec.ts';
import type { MachineRiser, PeerCode, RuleEngineRiser } from './reason-peers.ts';
import { askRuleEngine, machineRiser, ruleEngineRiser } from './reason-peers.ts';
import type { Pastime, Sent } from './reason-traffic.ts';
import { begin, hourOf, profileOf } from './reason-traffic.ts';

/*
 * Signals a second of processor time through fold, reasoning and alerts, over a fleet whose traffic is mostly quiet,
 * with storms, trips and restorations; and the memory of a riser at rest. Beside it the few rules of `reason-peers.ts`
 * on a general-purpose rule engine and on a state machine, in the same run: they carry three codes and five phases
 * where ours carries all of them, with causes, words, alerts and the order of late signals. All threads count, the
 * collector's too. Run: npm run bench:reason [-- risers] (needs --expose-gc)
 */

const risers = Number(process.argv[2] ?? 10_000);
const hours = { warm: 2, measured: 2 };
const random = seededRandom(20_261_125);

const gc = (globalThis as { readonly gc?: () => void }).gc;
invariant(gc !== undefined, 'run with --expose-gc');

function heap_bytes(): number {
  gc?.();
  gc?.();
  return process.memoryUsage().heapUsed;
}

async function cpu_s(work: () => void | Promise<void>): Promise<number> {
  const start = process.cpuUsage();
  await work();
  const { user, system } = process.cpuUsage(start);
  return (user + system) / 1e6;
}

function line(name: string, value: string): void {
  process.stdout.write(`${name.padEnd(72)} ${value}\n`);
}
const rate = (count: number, seconds: number): string => `${Math.round(count / seconds).toLocaleString('en')} a second`;
const kibibytes = (bytes: number): string => `${(bytes / 1024).toFixed(2)} KiB`;

/** Risers that nothing was heard of, each with a profile of its own. */
const fleetOf = (count: number): Twin[] =>
  Array.from({ length: count }, (_, riser) => {
    const profile = profileOf(riser);
    const twin = riserFold.initial({ type: 'profile-installed', id: 'profile', receivedAt: begin, profile });
    invariant(twin !== undefined, 'a riser begins with its profile');
    return twin;
  });

const before_bytes = heap_bytes();
const fleet = fleetOf(risers);
line('a riser that nothing was heard of', kibibytes((heap_bytes() - before_bytes) / risers));

const raised = new Map<string, number>();

/** Folds an event as the station does: what falls due before it is recorded and folded first. */
function fold(twins: Twin[], { riser, event }: Sent): void {
  let twin = twins[riser];
  invariant(twin !== undefined, 'the traffic is the fleet’s');
  for (let due = nextDeadline(twin); due !== undefined && due < event.receivedAt; due = nextDeadline(twin))
    twin = take(twin, { type: 'time-reached', id: 'time', receivedAt: due });
  twins[riser] = take(twin, event);
}

function take(twin: Twin, event: RiserEvent): Twin {
  const { state, outputs } = riserFold.step(twin, event);
  for (const output of outputs)
    if (output.type === 'finding' && output.finding.status === 'raised')
      raised.set(output.finding.code, (raised.get(output.finding.code) ?? 0) + 1);
  return state;
}

const calls = ['fire-service', 'subscriber', 'designated-person', 'authority'] as const;

/** What the people of the station do about the alerts of an hour, so that none is owed anything at its end. */
function attended(twins: readonly Twin[], at: Instant): readonly Sent[] {
  return twins.flatMap(({ alerts }, riser) => {
    if (alerts.book.size === 0) return [];
    const commands: RiserCommand[] = [...alerts.book.keys()].map((alert) => ({ command: 'acknowledge', alert }));
    for (const to of calls) commands.push({ command: 'call-recorded', to, outcome: 'reached' });
    commands.push({ command: 'dispatch-recorded', unit: 'runner', stage: 'arrived' });
    return commands.map((command, index): Sent => ({
      riser,
      event: { type: 'command-given', id: `${riser}/${at}/${index}`, receivedAt: at, by: 'operator', command },
    }));
  });
}

let hour = 0;

async function played(pastime?: Pastime): Promise<{ readonly signals: number; readonly seconds: number }> {
  const sent = hourOf({ risers, hour, random, disorder: true, ...(pastime === undefined ? {} : { pastime }) });
  hour += 1;
  const signals = sent.filter(({ event }) => event.type === 'signal-received').length;
  const folding_s = await cpu_s(() => sent.forEach((each) => fold(fleet, each)));
  const commands = attended(fleet, instant(begin + hour * 3_600_000 - 1_000));
  return { signals, seconds: folding_s + (await cpu_s(() => commands.forEach((each) => fold(fleet, each)))) };
}

async function measured(name: string, pastime?: Pastime): Promise<number> {
  for (let each = 0; each < (pastime === undefined ? hours.warm : 0); each += 1) await played();
  let signals = 0;
  let seconds = 0;
  for (let each = 0; each < (pastime === undefined ? hours.measured : 1); each += 1) {
    const told = await played(pastime);
    signals += told.signals;
    seconds += told.seconds;
  }
  line(name, rate(signals, seconds));
  return signals / seconds;
}

const ours = await measured('mixed traffic, all rules, alerts attended (goal 50,000)');
if (process.argv[3] === 'all')
  for (const pastime of ['quiet', 'flicker', 'storm', 'alarm test', 'trip', 'trip gone wrong'] as const)
    await measured(`  ${pastime} alone`, pastime);

line('a riser after these hours, with what people did about it', kibibytes((heap_bytes() - before_bytes) / risers));

/** One trip with its restoration, attended, and a quiet hour after it. */
function rested(): readonly Twin[] {
  const twins = fleetOf(Math.min(risers, 5_000));
  const traffic = { risers: twins.length, random, disorder: false };
  for (const sent of hourOf({ ...traffic, hour: 0, pastime: 'trip' })) fold(twins, sent);
  for (const sent of attended(twins, instant(begin + 3_599_000))) fold(twins, sent);
  for (const sent of hourOf({ ...traffic, hour: 1, pastime: 'quiet' })) fold(twins, sent);
  return twins;
}

const restBefore_bytes = heap_bytes();
const resting = rested();
line(
  'a riser at rest, after one trip restored and attended (goal 8 KiB)',
  kibibytes((heap_bytes() - restBefore_bytes) / resting.length),
);
const stored = resting.map((twin) => twinCodec.encode(twin).length);
line('  the same in a snapshot', kibibytes(stored.reduce((sum, size) => sum + size, 0) / stored.length));

/** The same traffic for all three, without disorder: the peers do not put signals in order. */
const common = hourOf({ risers, hour, random: seededRandom(7), disorder: false });
const signals = common.filter(({ event }) => event.type === 'signal-received').length;
const carried: readonly PeerCode[] = ['flow-with-supply-closed', 'reset-before-clear', 'release-without-flow'];
raised.clear();
const own_s = await cpu_s(() => common.forEach((each) => fold(fleet, each)));
line('the peers’ traffic: ours, all rules', rate(signals, own_s));
line('  raised of the codes that all three carry', carried.map((code) => raised.get(code) ?? 0).join(', '));

const engineBefore_bytes = heap_bytes();
const ruled: RuleEngineRiser[] = Array.from({ length: risers }, ruleEngineRiser);
const byEngine = new Map<PeerCode, number>();
const engine_s = await cpu_s(async () => {
  for (const { riser, event } of common) {
    const state = ruled[riser];
    if (state === undefined) continue;
    for (const code of await askRuleEngine(state, event)) byEngine.set(code, (byEngine.get(code) ?? 0) + 1);
  }
});
line('json-rules-engine, three codes and five phases', rate(signals, engine_s));
line(
  '  raised (a release without flow only when something else is heard)',
  carried.map((code) => byEngine.get(code) ?? 0).join(', '),
);
line('  a riser', kibibytes((heap_bytes() - engineBefore_bytes) / risers));

const machineBefore_bytes = heap_bytes();
const machines: MachineRiser[] = Array.from({ length: risers }, machineRiser);
const machine_s = await cpu_s(() => {
  for (const { riser, event } of common) machines[riser]?.tell(event);
});
const byMachine = machines.flatMap((each) => each.codes());
line('XState machine, three codes and five phases', rate(signals, machine_s));
line('  raised', carried.map((code) => byMachine.filter((each) => each === code).length).join(', '));
line('  a riser', kibibytes((heap_bytes() - machineBefore_bytes) / risers));
line(
  'ours with everything against the rule engine, against the machine',
  `${(engine_s / own_s).toFixed(2)} x, ${(machine_s / own_s).toFixed(2)} x`,
);
line('mixed traffic against the goal of 50,000', (ours / 50_000).toFixed(2));
