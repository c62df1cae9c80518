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
 * `node --conditions=tidemark-source --import tsx tests/bench/ingest.bench.ts [rounds] [signals]`.
 */
const rounds = Number(process.argv[2] ?? 7);
const signals = Number(process.argv[3] ?? 20_000);

type Role = 'ingest' | 'bare' | 'gate' | 'open';

/** One process at work. */
interface Worker {
  readonly child: ChildProcess;
  /** What it says next; rejects when it ends instead. */
  readonly next: () => Promise<Told>;
}

interface Told {
  readonly port?: number;
  readonly seconds?: number;
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

/** Signals a second of one consumer at an external broker: the queue is filled first, then it is let in. */
async function consume(role: 'ingest' | 'bare', port: number, round: number): Promise<number> {
  const folder = await mkdtemp(join(tmpdir(), 'tidemark-bench-'));
  const settings = { port, clientId: `${role}-${String(round)}`, folder, round };
  // Once to make the session, so that the broker queues for it; then it is away while the queue fills.
  const first = start(role, settings);
  await first.next();
  await stop(first);
  await publish(port, round, 16);
  const worker = start(role, settings);
  await worker.next();
  const { seconds = Number.NaN } = await worker.next();
  await stop(worker);
  await rm(folder, { recursive: true });
  return signals / seconds;
}

/** Acknowledged signals a second at an embedded broker, `inFlight` a client. */
async function serve(role: 'gate' | 'open', inFlight: number, round: number): Promise<number> {
  const folder = await mkdtemp(join(tmpdir(), 'tidemark-bench-'));
  const worker = start(role, { folder });
  const { port = 0 } = await worker.next();
  const seconds = await publish(port, round, inFlight);
  await stop(worker);
  await rm(folder, { recursive: true });
  return signals / seconds;
}

async function publish(port: number, round: number, inFlight: number): Promise<number> {
  const worker = start('publish', { port, round, inFlight });
  await worker.next();
  worker.child.send('go');
  const { seconds = Number.NaN } = await worker.next();
  await stop(worker);
  return seconds;
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
  ours: (round: number) => Promise<number>,
  bare: (round: number) => Promise<number>,
): Promise<void> {
  const figures: { ours: number; bare: number }[] = [];
  for (let round = 0; round < rounds; round += 1) {
    const first = round % 2 === 0 ? await ours(round) : await bare(round);
    const second = round % 2 === 0 ? await bare(round) : await ours(round);
    figures.push(round % 2 === 0 ? { ours: first, bare: second } : { ours: second, bare: first });
  }
  console.log(title);
  console.log(`  durable     ${show(spread(figures.map((each) => each.ours)), 0)} signals/s`);
  console.log(`  bare        ${show(spread(figures.map((each) => each.bare)), 0)} signals/s`);
  console.log(`  ratio       ${show(spread(figures.map((each) => each.ours / each.bare)), 2)}`);
}

console.log(`${String(rounds)} rounds of ${String(signals)} signals; median (least to most)`);
const mosquitto = await startMosquitto();
try {
  await compare(
    'Ingest from an external broker, against an MQTT.js consumer that does nothing:',
    (round) => consume('ingest', mosquitto.port, round),
    (round) => consume('bare', mosquitto.port, round),
  );
} finally {
  await mosquitto.dispose();
}
for (const inFlight of [1, 20, 200])
  await compare(
    `Embedded broker, 4 clients with ${String(inFlight)} in flight each, against the same library ungated:`,
    (round) => serve('gate', inFlight, round),
    (round) => serve('open', inFlight, round),
  );
