import { mkdirSync } from 'node:fs';
import { createServer } from 'node:net';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import { Aedes } from 'aedes';
import { Ingest } from '@tidemark/ingest';
import { SqliteJournal } from '@tidemark/journal-sqlite';
import { seededRandom } from '@tidemark/kernel';
import { defaultPrefix } from '@tidemark/signals';
import { connect, connectAsync } from 'mqtt';
import { installed, signalTopic, systemClock, waterflow } from '../support/ingest-fixtures.ts';
import { until } from '../support/until.ts';

/** One process of the benchmark, so that no two of them share a thread. The parent forks it and reads its messages. */
interface Settings {
  readonly signals: number;
  /** Signals that are not counted, so that compilers and caches are as warm as in a process that has run for days. */
  readonly warmUp: number;
  readonly port: number;
  readonly clientId: string;
  readonly folder: string;
  readonly round: number;
  readonly inFlight: number;
}

const role = process.argv[2];
const settings = JSON.parse(process.argv[3] ?? '{}') as Settings;
const publishers = 4;

const tell = (message: object): void => void process.send?.(message);

/** What the signals after the warm-up take. */
class Stopwatch {
  readonly #done: Promise<object>;
  #began: { readonly count: number; readonly at_ms: number; readonly cpu: NodeJS.CpuUsage } | undefined;
  #resolve: (figures: object) => void = () => undefined;

  constructor() {
    this.#done = new Promise((resolve) => (this.#resolve = resolve));
  }

  count(count: number): void {
    if (count >= settings.warmUp && count > 0)
      this.#began ??= { count, at_ms: performance.now(), cpu: process.cpuUsage() };
    if (count < settings.warmUp + settings.signals || this.#began === undefined) return;
    const signals = count - this.#began.count;
    const seconds = (performance.now() - this.#began.at_ms) / 1_000;
    this.#resolve({ signals, seconds, cpu_s: cpuSince_s(this.#began.cpu) });
  }

  get figures(): Promise<object> {
    return this.#done;
  }
}

function cpuSince_s(began: NodeJS.CpuUsage | undefined): number {
  const { user, system } = process.cpuUsage(began);
  return (user + system) / 1e6;
}

/** For the brokers: how much processor time goes by from one message of the parent to the next. */
async function tellCpuWhenAsked(): Promise<void> {
  await new Promise((resolve) => process.once('message', resolve));
  const began = process.cpuUsage();
  await new Promise((resolve) => process.once('message', resolve));
  tell({ cpu_s: cpuSince_s(began) });
}

async function openIngest(door: object): Promise<Ingest> {
  mkdirSync(settings.folder, { recursive: true });
  const journal = SqliteJournal.open({
    path: join(settings.folder, 'journal.sqlite'),
    clock: systemClock,
    writer: 'own-thread',
  });
  return Ingest.open({
    journal,
    now: systemClock,
    random: seededRandom(1),
    prefix: defaultPrefix,
    installed,
    ...door,
  });
}

async function ingest(): Promise<void> {
  const broker = { host: '127.0.0.1', port: settings.port };
  const running = await openIngest({ external: { broker, clientId: settings.clientId } });
  const watch = new Stopwatch();
  running.flow.subscribe(({ recorded, repeated }) => watch.count(recorded + repeated));
  let live = false;
  running.health.subscribe(({ ok }) => (live = ok));
  await until('ingest is live', () => live);
  tell({});
  tell(await watch.figures);
}

async function bare(): Promise<void> {
  const { port, clientId } = settings;
  const watch = new Stopwatch();
  let count = 0;
  const client = connect(`mqtt://127.0.0.1:${String(port)}`, {
    clientId,
    protocolVersion: 5,
    clean: false,
    properties: { sessionExpiryInterval: 3_600, receiveMaximum: 2_000 },
  });
  // Before it is connected: what is queued comes right behind CONNACK.
  client.on('message', () => {
    count += 1;
    watch.count(count);
  });
  await client.subscribeAsync(signalTopic, { qos: 1 });
  tell({});
  tell(await watch.figures);
}

async function gate(): Promise<void> {
  const running = await openIngest({ embedded: { port: 0 } });
  void tellCpuWhenAsked();
  tell({ port: running.port });
}

async function open(): Promise<void> {
  const aedes = await Aedes.createBroker();
  const server = createServer(aedes.handle);
  void tellCpuWhenAsked();
  server.listen(0, '127.0.0.1', () => tell({ port: (server.address() as AddressInfo).port }));
}

async function publish(): Promise<void> {
  const { port, round, inFlight } = settings;
  const clients = await Promise.all(
    Array.from({ length: publishers }, () => connectAsync(`mqtt://127.0.0.1:${String(port)}`)),
  );
  tell({});
  await new Promise((resolve) => process.once('message', resolve));
  const began = performance.now();
  const cpu = process.cpuUsage();
  const total = settings.warmUp + settings.signals;
  let next = 0;
  await Promise.all(
    clients.flatMap((client) =>
      Array.from({ length: inFlight }, async () => {
        while (next < total) {
          const id = `${String(round)}-${String(next)}`;
          next += 1;
          await client.publishAsync(signalTopic, waterflow(id), { qos: 1 });
        }
      }),
    ),
  );
  tell({ signals: total, seconds: (performance.now() - began) / 1_000, cpu_s: cpuSince_s(cpu) });
}

const roles: Readonly<Record<string, () => Promise<void>>> = { ingest, bare, gate, open, publish };
await roles[role ?? '']?.();
