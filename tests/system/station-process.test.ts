import { writeFile } from 'node:fs/promises';
import { createServer } from 'node:net';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import { entry } from '@tidemark/api';
import type { Position, RecordedEvent } from '@tidemark/journal';
import { SqliteJournalReader } from '@tidemark/journal-sqlite';
import { findingPayload, statePayload } from '@tidemark/signals';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { enterDemo } from '../support/enter-station.ts';
import { freePort, startMosquitto } from '../support/mosquitto.ts';
import { until } from '../support/until.ts';
import type { StationProcess } from './station-process.ts';
import { isOpen, listenTo, profileText, siteFolder, startStation } from './station-process.ts';

let site: Awaited<ReturnType<typeof siteFolder>>;
const running = new Set<StationProcess>();

const start = (variables: Readonly<Record<string, string>> = {}): StationProcess => {
  const station = startStation({ ...site.variables, ...variables });
  running.add(station);
  return station;
};

beforeEach(async () => {
  site = await siteFolder();
});

afterEach(async () => {
  for (const station of running) {
    station.kill('SIGKILL');
    await station.ended;
  }
  running.clear();
  await site.dispose();
});

const journalFile = (): string => join(site.folder, 'data', 'station', 'journal.sqlite');

/** What a second process sees in the station's journal. */
async function look<Value>(at: (reader: SqliteJournalReader) => Promise<Value>): Promise<Value> {
  const reader = SqliteJournalReader.open(journalFile());
  try {
    return await at(reader);
  } finally {
    await reader.close();
  }
}

const journaledFindings = (): Promise<readonly RecordedEvent[]> =>
  look(async (reader) => {
    const events: RecordedEvent[] = [];
    for await (const event of reader.readAll()) if (event.type.startsWith('finding-')) events.push(event);
    return events;
  });

const noted = (): Promise<Position | undefined> => look((reader) => reader.readCheckpoint('finding-publisher'));

const everythingIsNoted = (): Promise<boolean> =>
  look(async (reader) => {
    let last: Position | undefined;
    for await (const event of reader.readAll()) if (event.stream.startsWith('finding/')) last = event.position;
    return last !== undefined && (await reader.readCheckpoint('finding-publisher')) === last;
  });

async function isWell(console_url: string): Promise<boolean> {
  return entry.parse(await (await fetch(`${console_url}/api/entry`)).json()).status === 'ok';
}

/** The position of the riser's newest event. */
const newestOfRiser = (): Promise<string | undefined> =>
  look(async (reader) => {
    let newest: string | undefined;
    for await (const { stream, position } of reader.readAll())
      if (stream.startsWith('riser/')) newest = position.toString();
    return newest;
  });

describe('a station in a process of its own', () => {
  it(
    'hears a panel, and tells what is found at once and what is found at its deadline',
    { timeout: 120_000 },
    async () => {
      const { mqttPort } = await isOpen(start());
      const world = await listenTo(mqttPort);
      await until('the retained state', () => world.states.length > 0);

      await world.signal('1', 'manual-pull', 'active');
      await world.signal('2', 'solenoid', 'active');
      const late = await until('the finding of a deadline', () => world.findings[0]);
      await world.signal('3', 'supply-valve', 'active');
      await world.signal('4', 'waterflow', 'active');
      await until('the finding at once', () => world.findings.some(({ code }) => code === 'flow-with-supply-closed'));

      for (const finding of world.findings) expect(findingPayload.safeParse(finding).error).toBeUndefined();
      for (const state of world.states) expect(statePayload.safeParse(state).error).toBeUndefined();
      expect(late).toMatchObject({ code: 'release-without-flow', status: 'raised', severity: 'critical' });
      await world.close();
    },
  );

  it('killed and started again, tells nothing twice and knows what it knew', { timeout: 180_000 }, async () => {
    const TIDEMARK_MQTT_PORT = String(await freePort());
    const first = start({ TIDEMARK_MQTT_PORT });
    await isOpen(first);
    const world = await listenTo(Number(TIDEMARK_MQTT_PORT));
    await world.signal('1', 'waterflow', 'active');
    await world.signal('2', 'supply-valve', 'active');
    await world.signal('3', 'manual-pull', 'active');
    await until('a finding', () => world.findings.length > 0);
    await until('every finding is noted as published', everythingIsNoted);
    const newest = await newestOfRiser();
    const before = await until('the newest state', () => world.states.find(({ position }) => position === newest));
    first.kill('SIGKILL');
    await first.ended;

    await isOpen(start({ TIDEMARK_MQTT_PORT }));
    const witness = await listenTo(Number(TIDEMARK_MQTT_PORT));
    const after = await until('the retained state', () => witness.states[0]);

    expect(after).toEqual(before);
    await witness.signal('4', 'supply-valve', 'restored');
    await witness.signal('5', 'supply-valve', 'active');
    await until('every finding is noted as published', everythingIsNoted);
    const positions = [...world.findings, ...witness.findings].map(({ position }) => position);
    const unique = [...new Set(positions)];
    expect(unique.toSorted()).toEqual(
      (await journaledFindings()).map(({ position }) => position.toString()).toSorted(),
    );
    expect(new Set(world.findings.map(({ position }) => position)).size).toBe(world.findings.length);
    expect(new Set(witness.findings.map(({ position }) => position)).size).toBe(witness.findings.length);
    expect(await noted()).toBeDefined();
    await Promise.all([world.close(), witness.close()]);
  });

  it.each(['SIGTERM', 'SIGINT'] as const)(
    'leaves with 0 on %s, its journal whole',
    { timeout: 120_000 },
    async (signal) => {
      const station = start();
      const { mqttPort } = await isOpen(station);
      const world = await listenTo(mqttPort);
      await world.signal('1', 'waterflow', 'active');

      station.kill(signal);

      expect({ code: await station.ended, stderr: station.stderr() }).toEqual({ code: 0, stderr: '' });
      const verified = await look((reader) => reader.verify());
      expect(verified.ok).toBe(true);
      await world.close();
    },
  );

  it('says where everything is, and how the first administrator comes in', { timeout: 120_000 }, async () => {
    const station = start();
    await isOpen(station);
    await until('the last line', () => station.stdout().includes('Risers'));

    expect(
      station
        .stdout()
        .split('\n')
        .map((line) => line.replace(/:\d+/, ':…').replace(/#[\w-]{43}$/, '#…')),
    ).toEqual([
      'Console  http://127.0.0.1:…',
      'MQTT     mqtt://127.0.0.1:… (embedded broker)',
      `Data     ${join(site.folder, 'data', 'station')}`,
      'First    http://127.0.0.1:…/set-password#…',
      "         sets the administrator's password, once and within a day",
      'Risers   1',
      '',
    ]);
  });

  it.each([
    ['TIDEMARK_HTTP_PORT', /^The console cannot listen: port \d+ on 127\.0\.0\.1 is in use\..*TIDEMARK_HTTP_PORT\.\n$/],
    ['TIDEMARK_MQTT_PORT', /^The broker cannot listen: port \d+ on 127\.0\.0\.1 is in use,.*TIDEMARK_MQTT_PORT\)\n$/],
  ])('says in one line that the port of %s is in use, and ends with 1', { timeout: 120_000 }, async (name, line) => {
    const other = createServer();
    await new Promise<void>((resolve) => other.listen(0, '127.0.0.1', resolve));

    const station = start({ [name]: String((other.address() as AddressInfo).port) });

    expect(await station.ended).toBe(1);
    expect(station.stderr()).toMatch(line);
    expect(station.stdout()).toBe('');
    await new Promise((resolve) => other.close(resolve));
  });

  it('refuses to share a journal with another station', { timeout: 120_000 }, async () => {
    await isOpen(start());

    const second = start();

    expect(await second.ended).toBe(1);
    expect(second.stderr()).toMatch(/^The journal cannot be opened: .* already open for writing.*\(TIDEMARK_DATA\)\n$/);
  });

  it('refuses wrong profiles line by line, or starts without them when told so', { timeout: 120_000 }, async () => {
    await writeFile(
      join(site.folder, 'wrong.riser.yaml'),
      profileText.replace('deluge-1', 'deluge-2').replace('electric', 'steam'),
    );
    const mistake = `${join(site.folder, 'wrong.riser.yaml')}:4: release: expected electric, wet-pilot or dry-pilot`;
    const refused = start();
    expect(await refused.ended).toBe(1);
    expect(refused.stderr()).toBe(
      `${mistake}\nMend these profiles, or set TIDEMARK_WRONG_PROFILES=skip to start without them.\n`,
    );

    const station = start({ TIDEMARK_WRONG_PROFILES: 'skip' });
    await isOpen(station);

    await until('the last line', () => station.stdout().includes('Risers   1'));
    expect(station.stderr()).toBe(`Left out: ${mistake}\n`);
  });

  it('names a variable that is wrong', { timeout: 60_000 }, async () => {
    const station = start({ TIDEMARK_HTTP_PORT: 'eighty' });

    expect(await station.ended).toBe(1);
    expect(station.stderr()).toBe('TIDEMARK_HTTP_PORT: expected a port, 0 to 65535\n');
  });

  it('works through a broker elsewhere', { timeout: 120_000 }, async () => {
    const broker = await startMosquitto();
    try {
      const { console_url } = await isOpen(start({ TIDEMARK_MQTT_URL: `mqtt://127.0.0.1:${String(broker.port)}` }));
      const world = await listenTo(broker.port);
      // Before it is connected once, nobody keeps for the station what is sent to the broker.
      await until('every part is up', () => isWell(console_url));

      await world.signal('1', 'supply-valve', 'active');
      await world.signal('2', 'waterflow', 'active');
      const finding = await until('the finding', () => world.findings[0]);

      expect(finding).toMatchObject({ code: 'flow-with-supply-closed', status: 'raised' });
      await world.close();
    } finally {
      await broker.dispose();
    }
  });

  it('shows the demo site without being told anything, in a folder of its own', { timeout: 120_000 }, async () => {
    const { TIDEMARK_DATA = '' } = site.variables;
    const station = startStation({ TIDEMARK_DATA, TIDEMARK_HTTP_PORT: '0', TIDEMARK_MQTT_PORT: '0' });
    running.add(station);
    const { console_url } = await isOpen(station);
    const headers = await enterDemo(console_url);

    const listed = await until('every riser was heard', async () => {
      const { risers } = (await (await fetch(`${console_url}/api/risers`, { headers })).json()) as {
        readonly risers: readonly { readonly riser: string; readonly phase: string }[];
      };
      return risers.every(({ phase }) => phase !== 'unknown') && risers;
    });

    expect(listed.length).toBe(8);
    expect(station.stdout()).toContain(`Data     ${join(site.folder, 'data', 'demo')}`);
    expect(station.stdout()).toMatch(/^Demo {5}8 risers of an invented site/m);
    expect(station.stdout()).toMatch(/^ +operator +watch-the-demo-risers/m);
    expect(station.stdout()).not.toMatch(/^First/m);
  });
});
