import type { ChildProcess } from 'node:child_process';
import { fork } from 'node:child_process';
import { on, once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { startMosquitto } from '../support/mosquitto.ts';

/**
 * Durable QoS 1 signals a second, against a consumer or a broker that makes nothing durable: same broker, same
 * machine, same run, rounds in turn. Run it with
 * `node --conditions=tidemark-source --import tsx tests/bench/ingest.bench.ts [rounds] [signals] [external|embedded]`.
 */
const rounds = Number(process.argv[2] ?? 7);
const signals = Number(process.argv[3] ?? 20_000);
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
  readonly seconds?: number | undefined;
  /** Processor time from the first message to the last, all threads. */
  readonly cpu_s?: number | undefined;
}

/** What one measurement gave. */
interface Figure {
  readonly signals_s: number;
  readonly cpu_us: number;
}

interface Consumption {
  readonly port: number;
  readonly round: number;
  readonly flow: 'live' | 'queued';
}

const roleFile = fileURLToPath(new URL('./ingest-role.ts', import.meta.url));

function start(role: Role | 'publish', settings: object): Worker {
  const child = fork(roleFile, [role, JSON.stringify({ signals, ...settings })], {
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
async function consume(role: 'ingest' | 'bare', { port, round, flow }: Consumption): Promise<Figure> {
  const folder = await mkdtemp(join(tmpdir(), 'tidemark-bench-'));
  const settings = { port, clientId: `${role}-${flow}-${String(round)}`, folder };
  let worker = start(role, settings);
  await worker.next();
  if (flow === 'live') {
    const [told] = await Promise.all([worker.next(), publish(port, round, 100)]);
    await stop(worker);
    await rm(folder, { recursive: true });
    return figureOf(told);
  }
  // It has a session now, so the broker queues for it while it is away.
  await stop(worker);
  await publish(port, round, 100);
  worker = start(role, settings);
  await worker.next();
  const figure = figureOf(await worker.next());
  await stop(worker);
  await rm(folder, { recursive: true });
  return figure;
}

/** Acknowledged signals a second at an embedded broker, `inFlight` a client. */
async function serve(role: 'gate' | 'open', inFlight: number, round: number): Promise<Figure> {
  const folder = await mkdtemp(join(tmpdir(), 'tidemark-bench-'));
  const worker = start(role, { folder });
  const { port = 0 } = await worker.next();
  const { seconds } = await publish(port, round, inFlight);
  worker.child.send('how much');
  const { cpu_s } = await worker.next();
  await stop(worker);
  await rm(folder, { recursive: true });
  return figureOf({ seconds, cpu_s });
}

async function publish(port: number, round: number, inFlight: number): Promise<Told> {
  const worker = start('publish', { port, round, inFlight });
  await worker.next();
  worker.child.send('go');
  const told = await worker.next();
  await stop(worker);
  return told;
}

const figureOf = ({ seconds = Number.NaN, cpu_s = Number.NaN }: Told): Figure => ({
  signals_s: signals / seconds,
  cpu_us: (cpu_s * 1e6) / signals,
});

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
  const of = (read: (pair: (typeof pairs)[number]) => number): Spread => spread(pairs.map(read));
  console.log(title);
  console.log(
    `  durable   ${show(
      of(({ durable: each }) => each.signals_s),
      0,
    )} signals/s`,
  );
  console.log(
    `  bare      ${show(
      of(({ bare: each }) => each.signals_s),
      0,
    )} signals/s`,
  );
  console.log(
    `  ratio     ${show(
      of((pair) => pair.durable.signals_s / pair.bare.signals_s),
      2,
    )}`,
  );
  console.log(
    `  processor ${show(
      of(({ durable: each }) => each.cpu_us),
      0,
    )} us a signal, durable`,
  );
  console.log(
    `            ${show(
      of(({ bare: each }) => each.cpu_us),
      0,
    )} us a signal, bare`,
  );
}

console.log(`${String(rounds)} rounds of ${String(signals)} signals; median (least to most)`);
if (doors.includes('external')) {
  const mosquitto = await startMosquitto();
  try {
    for (const flow of ['live', 'queued'] as const)
      await compare(
        `Ingest from an external broker (${flow}), against an MQTT.js consumer that does nothing:`,
        (round) => consume('ingest', { port: mosquitto.port, round, flow }),
        (round) => consume('bare', { port: mosquitto.port, round, flow }),
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
