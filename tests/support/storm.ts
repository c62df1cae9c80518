import type { ChildProcess } from 'node:child_process';
import { fork } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { SqliteJournal, SqliteJournalReader } from '@tidemark/journal-sqlite';
import type { BrokenChain, Verified } from '@tidemark/journal';
import { seededRandom } from '@tidemark/kernel';
import type { Result } from '@tidemark/kernel';
import { connect, connectAsync } from 'mqtt';
import type { MqttClient } from 'mqtt';
import { signalIds, signalTopic, systemClock, waterflow } from './ingest-fixtures.ts';
import { until } from './until.ts';

/** A storm of QoS 1 publishes, in the middle of which the station is killed again and again. */
export interface Storm {
  readonly door: 'embedded' | 'external';
  /** Where publishers connect: the station's own port, or the external broker's. */
  readonly port: number;
  readonly variant: 'real' | 'canary';
  readonly kills: number;
  readonly seed: number;
}

/** What is left after the storm. */
export interface Aftermath {
  readonly acknowledged: number;
  /** Acknowledged signals that the journal does not hold. */
  readonly lost: readonly string[];
  /** Signals that the journal holds more than once. */
  readonly doubled: readonly string[];
  readonly verified: Result<Verified, BrokenChain>;
}

const publishers = 4;
const inFlight = 25;
/** How many signals are acknowledged before the next kill: drawn from the seed. */
const between = { fewest: 50, most: 600 } as const;

/** How far the panels may get ahead while the station is down. */
const ahead = 500;

const stationFile = fileURLToPath(new URL('./storm-station.ts', import.meta.url));

/** Runs the storm and judges the journal. The same checker judges the canaries. */
export async function runStorm({ door, port, variant, kills, seed }: Storm): Promise<Aftermath> {
  const folder = await mkdtemp(join(tmpdir(), 'tidemark-storm-'));
  const path = join(folder, 'journal.sqlite');
  const random = seededRandom(seed);
  const start = async (): Promise<ChildProcess> => {
    const station = fork(stationFile, [door, String(port), path, variant], {
      execArgv: ['--conditions=tidemark-source', '--import', 'tsx'],
    });
    const ended = once(station, 'exit').then(([code]) => {
      throw new Error(`the station ended with ${String(code)} before it was ready`);
    });
    ended.catch(() => undefined);
    await Promise.race([once(station, 'message'), ended]);
    return station;
  };

  let station = await start();
  const fleet = new Fleet(port);
  try {
    for (let kill = 0; kill < kills; kill += 1) {
      const goal = fleet.acknowledged.size + random.between(between.fewest, between.most);
      fleet.allowed = goal + ahead;
      await until('enough is acknowledged', () => fleet.acknowledged.size >= goal, 60_000);
      await killed(station);
      station = await start();
    }
    await fleet.stop();
    // What comes behind all others in the broker's queue: when it is read, so are they.
    await publishOne(port, 'the-end');
    await until('the last signal is in the journal', () => holds(path, 'the-end'));
    await killed(station);
    return await judge(path, fleet.acknowledged);
  } finally {
    fleet.leave();
    station.kill('SIGKILL');
    await rm(folder, { recursive: true });
  }
}

async function killed(station: ChildProcess): Promise<void> {
  const exit = once(station, 'exit');
  station.kill('SIGKILL');
  await exit;
}

/** Panels that publish as fast as they are acknowledged, and send again what was not. */
class Fleet {
  readonly acknowledged = new Set<string>();
  /** They pause when this many are acknowledged. */
  allowed = ahead;
  readonly #clients: readonly MqttClient[];
  readonly #work: readonly Promise<void>[];
  #stopping = false;

  constructor(port: number) {
    this.#clients = Array.from({ length: publishers }, () =>
      connect(`mqtt://127.0.0.1:${String(port)}`, { reconnectPeriod: 20, protocolVersion: 4 }),
    );
    for (const client of this.#clients) client.on('error', () => undefined);
    this.#work = this.#clients.flatMap((client, panel) =>
      Array.from({ length: inFlight }, (_, lane) => this.#publish(client, `${String(panel)}-${String(lane)}`)),
    );
  }

  /** Lets what is under way be acknowledged, then leaves. */
  async stop(): Promise<void> {
    this.#stopping = true;
    await Promise.all(this.#work);
    await Promise.all(this.#clients.map((client) => client.endAsync()));
  }

  /** Leaves at once, whatever is under way. */
  leave(): void {
    this.#stopping = true;
    for (const client of this.#clients) client.end(true);
  }

  async #publish(client: MqttClient, lane: string): Promise<void> {
    for (let count = 0; !this.#stopping; count += 1) {
      if (this.acknowledged.size >= this.allowed) {
        await until('more is allowed', () => this.#stopping || this.acknowledged.size < this.allowed, 60_000);
        continue;
      }
      const id = `${lane}-${String(count)}`;
      // As a gateway does: what was not acknowledged is sent again, under the same id.
      while (!(await isAcknowledged(client, id))) await until('it is connected', () => client.connected);
      this.acknowledged.add(id);
    }
  }
}

const isAcknowledged = (client: MqttClient, id: string): Promise<boolean> =>
  client.publishAsync(signalTopic, waterflow(id), { qos: 1 }).then(
    () => true,
    () => false,
  );

async function publishOne(port: number, id: string): Promise<void> {
  const client = await connectAsync(`mqtt://127.0.0.1:${String(port)}`);
  await client.publishAsync(signalTopic, waterflow(id), { qos: 1 });
  await client.endAsync();
}

/** Whether a journal that another process writes holds the signal by now. */
async function holds(path: string, id: string): Promise<boolean> {
  const reader = SqliteJournalReader.open(path);
  try {
    for await (const { metadata } of reader.readAll({ direction: 'backward', limit: 200 }))
      if (metadata['signalId'] === id) return true;
    return false;
  } finally {
    await reader.close();
  }
}

async function judge(path: string, acknowledged: ReadonlySet<string>): Promise<Aftermath> {
  const journal = SqliteJournal.open({ path, clock: systemClock });
  const held = await signalIds(journal);
  const verified = await journal.verify();
  await journal.close();
  const distinct = new Set(held);
  return {
    acknowledged: acknowledged.size,
    lost: [...acknowledged].filter((id) => !distinct.has(id)),
    doubled: repeated(held),
    verified,
  };
}

function repeated(ids: readonly string[]): readonly string[] {
  const seen = new Set<string>();
  return ids.filter((id) => seen.size === seen.add(id).size);
}
