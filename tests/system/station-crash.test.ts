import { join } from 'node:path';
import { deriveEventId } from '@tidemark/journal';
import type { RecordedEvent } from '@tidemark/journal';
import { SqliteJournalReader } from '@tidemark/journal-sqlite';
import { seededRandom } from '@tidemark/kernel';
import type { Twin } from '@tidemark/reasoning';
import { riserFold } from '@tidemark/twin';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { freePort } from '../support/mosquitto.ts';
import { until } from '../support/until.ts';
import type { Listener, StationProcess } from './station-process.ts';
import { isOpen, listenTo, siteFolder, startStation } from './station-process.ts';

/** So often the station is killed. Which signals are sent before each kill follows from the seed. */
const kills = 4;
const seed = 20_260_302;

const contacts = ['manual-pull', 'solenoid', 'prime-pressure-low', 'waterflow', 'supply-valve'] as const;

let site: Awaited<ReturnType<typeof siteFolder>>;
let station: StationProcess | undefined;

beforeEach(async () => {
  site = await siteFolder();
});

afterEach(async () => {
  station?.kill('SIGKILL');
  await station?.ended;
  await site.dispose();
});

/** What the station has recorded, read by a second process. */
async function recorded(): Promise<readonly RecordedEvent[]> {
  const reader = SqliteJournalReader.open(join(site.folder, 'data', 'station', 'journal.sqlite'));
  try {
    const events: RecordedEvent[] = [];
    for await (const event of reader.readAll()) events.push(event);
    return events;
  } finally {
    await reader.close();
  }
}

/** The ids of everything that follows from what happened to the risers, by the rule of DEVELOPERS.md: cause and place. */
function idsThatFollow(events: readonly RecordedEvent[]): readonly string[] {
  let twin: Twin | undefined;
  return events.flatMap((event) => {
    const decoded = riserFold.decode(event);
    if (!event.stream.startsWith('riser/') || !decoded.ok) return [];
    const before = twin ?? riserFold.initial(decoded.value);
    if (before === undefined) return [];
    const { state, outputs } = riserFold.step(before, decoded.value);
    twin = state;
    return outputs.map((_output, ordinal) =>
      deriveEventId(['twin-output', event.stream, event.revision.toString(), String(ordinal)]),
    );
  });
}

const idsFound = (events: readonly RecordedEvent[]): readonly string[] =>
  events.filter(({ stream }) => stream.startsWith('finding/')).map(({ id }) => id);

it('killed in the midst of signals, has recorded exactly what follows from them', { timeout: 240_000 }, async () => {
  const TIDEMARK_MQTT_PORT = String(await freePort());
  const random = seededRandom(seed);
  const acknowledged: string[] = [];
  let sent = 0;

  for (let kill = 0; kill <= kills; kill += 1) {
    station = startStation({ ...site.variables, TIDEMARK_MQTT_PORT });
    await isOpen(station);
    const world = await listenTo(Number(TIDEMARK_MQTT_PORT));
    const last = sent + random.between(5, 40);
    for (; sent < last; sent += 1) await speak(world, sent, acknowledged, random.next() < 0.5 ? 'active' : 'restored');
    if (kill === kills) {
      await until('everything that follows is recorded', async () => {
        const events = await recorded();
        return idsFound(events).length === idsThatFollow(events).length;
      });
      await world.close();
      break;
    }
    // Sent and not waited for: the kill meets them somewhere between the socket and the disk.
    for (let flying = 0; flying < 5; flying += 1) void speak(world, (sent += 1), [], 'active').catch(() => undefined);
    station.kill('SIGKILL');
    await station.ended;
    await world.close();
    sent += 1;
  }

  const events = await recorded();
  const received = new Set(events.map(({ metadata }) => metadata['signalId']));
  expect(acknowledged.filter((id) => !received.has(id))).toEqual([]);
  expect(idsFound(events).toSorted()).toEqual(idsThatFollow(events).toSorted());
  expect(new Set(idsFound(events)).size).toBe(idsFound(events).length);
  expect(acknowledged.length).toBeGreaterThan(kills * 5);
});

async function speak(world: Listener, number: number, acknowledged: string[], state: string): Promise<void> {
  const id = `signal ${String(number)}`;
  await world.signal(id, contacts[number % contacts.length] ?? 'waterflow', state);
  acknowledged.push(id);
}
