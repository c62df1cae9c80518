import type { ChildProcess } from 'node:child_process';
import { fork } from 'node:child_process';
import { on, once } from 'node:events';
import { readFileSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { availableParallelism, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Mosquitto } from '../support/mosquitto.ts';
import { startMosquitto } from '../support/mosquitto.ts';

/**
 * Durable QoS 1 signals a second, against a consumer or a broker that makes nothing durable: same broker, same
 * machine, same run, rounds in turn. Run it with
 * `node --conditions=tidemark-source --import tsx tests/bench/ingest.bench.ts [rounds] [signals] [external|embedded]`.
 *
 * Publishers, broker and consumer share the machine. So that one sees what limits, the processor time of each is
 * printed: a signal cannot take less than the sum of them divided by the number of cores, nor less than the busiest
 * thread. Both sides run some signals first that are not counted.
 */
const rounds = Number(process.argv[2] ?? 7);
const signals = Number(process.argv[3] ?? 20_000);
const warmUp = 10_000;
const doors = process.argv[4] === undefined ? ['external', 'embedded'] : [process.argv[4]];

type Role = 'ingest' | 'bare' | 'gate' | 'open';

/** One process at work. */
interface Worker {
  readonly child: ChildProcess;
  /** What it says next; rejects when it ends instead. */
  readonly next: () => Promise<Told>;
}

interface Told {
  readonly port?: number;
  readonly signals?: number;
  readonly seconds?: number;
  /** Processor time from the first message to the last, all threads. */
  readonly cpu_s?: number;
}

/** What one measurement gave; processor time of the consumer or embedded broker, and of all else that was at work. */
interface Figure {
  readonly signals_s: number;
  readonly cpu_us: number;
  readonly others_us: number;
}

interface Consumption {
  readonly broker: Mosquitto;
  readonly round: number;
  readonly flow: 'live' | 'queued';
}

interface Publishing {
  readonly port: number;
  readonly round: number | string;
  readonly inFlight: number;
  readonly count?: number;
}

const roleFile = fileURLToPath(new URL('./ingest-role.ts', import.meta.url));

function start(role: Role | 'publish', settings: object): Worker {
  const child = fork(roleFile, [role, JSON.stringify({ signals, warmUp, ...settings })], {
    execArgv: ['--conditions=tidemark-source', '--import', 'tsx'],
  });
  const told = on(child, 'message', { close: ['exit'] });
  const next = async (): Promise<Told> => {
    const { value, done } = await told.next();
    if (done === true) throw new Error(`the ${role} process of the benchmark ended with ${String(child.exitCode)}`);
    return (value as [Told])[0];
  };
  return { child, next };
}

const stop = async ({ child }: Worker): Promise<void> => {
  if (child.exitCode !== null) return;
  const exit = once(child, 'exit');
  child.kill('SIGKILL');
  await exit;
};

/** Signals a second of one consumer at an external broker, while publishers are at work or out of a queue filled before. */
async function consume(role: 'ingest' | 'bare', { broker, round, flow }: Consumption): Promise<Figure> {
  const folder = await mkdtemp(join(tmpdir(), 'tidemark-bench-'));
  const { port } = broker;
  const settings = { port, clientId: `${role}-${flow}-${String(round)}`, folder };
  const inFlight = 100;
  let worker = start(role, settings);
  await worker.next();
  let publishers_us = 0;
  let before_s = processorTime_s(broker);
  let told: Told;
  if (flow === 'live') {
    const [consumed, published] = await Promise.all([worker.next(), publish({ port, round, inFlight })]);
    publishers_us = cpuOf_us(published);
    told = consumed;
  } else {
    // It has a session now, so the broker queues for it while it is away.
    await stop(worker);
    await publish({ port, round, inFlight });
    before_s = processorTime_s(broker);
    worker = start(role, settings);
    await worker.next();
    told = await worker.next();
  }
  const broker_us = ((processorTime_s(broker) - before_s) * 1e6) / (warmUp + signals);
  await stop(worker);
  await rm(folder, { recursive: true });
  return figureOf(told, publishers_us + broker_us);
}

/** Acknowledged signals a second at an embedded broker, `inFlight` a client. */
async function serve(role: 'gate' | 'open', inFlight: number, round: number): Promise<Figure> {
  const folder = await mkdtemp(join(tmpdir(), 'tidemark-bench-'));
  const worker = start(role, { folder });
  const { port = 0 } = await worker.next();
  await publish({ port, round: `warm-${String(round)}`, inFlight, count: warmUp });
  worker.child.send('begin');
  const published = await publish({ port, round, inFlight, count: signals });
  worker.child.send('end');
  const { cpu_s } = await worker.next();
  await stop(worker);
  await rm(folder, { recursive: true });
  return figureOf({ ...published, ...(cpu_s === undefined ? {} : { cpu_s }) }, cpuOf_us(published));
}

async function publish({ count = warmUp + signals, ...settings }: Publishing): Promise<Told> {
  const worker = start('publish', { ...settings, signals: count, warmUp: 0 });
  await worker.next();
  worker.child.send('go');
  const told = await worker.next();
  await stop(worker);
  return told;
}

const figureOf = (told: Told, others_us: number): Figure => {
  const { signals: count = Number.NaN, seconds = Number.NaN } = told;
  return { signals_s: count / seconds, cpu_us: cpuOf_us(told), others_us };
};

const cpuOf_us = ({ cpu_s = Number.NaN, signals: count = Number.NaN }: Told): number => (cpu_s * 1e6) / count;

/** Processor time of the broker, from Linux: user and system time are fields 14 and 15, in hundredths of a second (proc(5)). */
function processorTime_s({ pid }: Mosquitto): number {
  const fields =
    readFileSync(`/proc/${String(pid())}/stat`, 'utf8')
      .split(') ')[1]
      ?.split(' ') ?? [];
  return (Number(fields[11]) + Number(fields[12])) / 100;
}

interface Spread {
  readonly median: number;
  readonly least: number;
  readonly most: number;
}

function spread(values: readonly number[]): Spread {
  const sorted = values.toSorted((a, b) => a - b);
  return {
    median: sorted[Math.floor(sorted.length / 2)] ?? Number.NaN,
    least: sorted[0] ?? Number.NaN,
    most: sorted.at(-1) ?? Number.NaN,
  };
}

const show = ({ median, least, most }: Spread, digits: number): string =>
  `${median.toFixed(digits)} (${least.toFixed(digits)} to ${most.toFixed(digits)})`;

/** Runs two measurements in turn, the order swapped each round, and prints both and their ratio. */
async function compare(
  title: string,
  ours: (round: number) => Promise<Figure>,
  bare: (round: number) => Promise<Figure>,
): Promise<void> {
  const pairs: { readonly durable: Figure; readonly bare: Figure }[] = [];
  for (let round = 0; round < rounds; round += 1) {
    const first = await (round % 2 === 0 ? ours(round) : bare(round));
    const second = await (round % 2 === 0 ? bare(round) : ours(round));
    pairs.push(round % 2 === 0 ? { durable: first, bare: second } : { durable: second, bare: first });
  }
  const line = (name: string, digits: number, read: (pair: (typeof pairs)[number]) => number): void =>
    console.log(`  ${name.padEnd(42)}${show(spread(pairs.map(read)), digits)}`);
  console.log(title);
  line('durable, signals a second', 0, (pair) => pair.durable.signals_s);
  line('bare, signals a second', 0, (pair) => pair.bare.signals_s);
  line('ratio', 2, (pair) => pair.durable.signals_s / pair.bare.signals_s);
  line('durable, us of processor time a signal', 1, (pair) => pair.durable.cpu_us);
  line('  publishers and broker beside it', 1, (pair) => pair.durable.others_us);
  line('bare, us of processor time a signal', 1, (pair) => pair.bare.cpu_us);
  line('  publishers and broker beside it', 1, (pair) => pair.bare.others_us);
}

console.log(
  `${String(rounds)} rounds of ${String(signals)} signals on ${String(availableParallelism())} cores; median (least to most)`,
);
if (doors.includes('external')) {
  const mosquitto = await startMosquitto();
  try {
    for (const flow of ['live', 'queued'] as const)
      await compare(
        `Ingest from an external broker (${flow}), against an MQTT.js consumer that does nothing:`,
        (round) => consume('ingest', { broker: mosquitto, round, flow }),
        (round) => consume('bare', { broker: mosquitto, round, flow }),
      );
  } finally {
    await mosquitto.dispose();
  }
}
if (doors.includes('embedded')) {
  for (const inFlight of [1, 20, 200])
    await compare(
      `Embedded broker, 4 clients with ${String(inFlight)} in flight each, against the same library ungated:`,
      (round) => serve('gate', inFlight, round),
      (round) => serve('open', inFlight, round),
    );
}
