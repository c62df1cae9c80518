import type { ChildProcess } from 'node:child_process';
import { spawn } from 'node:child_process';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { connectAsync } from 'mqtt';
import type { MqttClient } from 'mqtt';
import { until } from '../support/until.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));

/** The real station in a process of its own. */
export interface StationProcess {
  readonly stdout: () => string;
  readonly stderr: () => string;
  /** The exit code once it ended, or the signal that ended it. */
  readonly ended: Promise<number | NodeJS.Signals | null>;
  readonly kill: (signal: NodeJS.Signals) => void;
}

/** Starts it with these variables and none of the tester's own that begin like them. */
export function startStation(variables: Readonly<Record<string, string>>): StationProcess {
  const own = Object.entries(process.env).filter(([name]) => !name.startsWith('TIDEMARK_') && name !== 'NODE_OPTIONS');
  const child = spawn(
    process.execPath,
    ['--conditions=tidemark-source', '--import', 'tsx', 'services/station/src/main.ts'],
    { cwd: root, env: { ...Object.fromEntries(own), ...variables }, stdio: ['ignore', 'pipe', 'pipe'] },
  );
  const [stdout, stderr] = [gathered(child, 'stdout'), gathered(child, 'stderr')];
  const ended = new Promise<number | NodeJS.Signals | null>((resolve) => {
    child.once('close', (code, signal) => resolve(code ?? signal));
  });
  return { stdout, stderr, ended, kill: (signal) => child.kill(signal) };
}

function gathered(child: ChildProcess, stream: 'stdout' | 'stderr'): () => string {
  let text = '';
  child[stream]?.setEncoding('utf8').on('data', (chunk: string) => (text += chunk));
  return () => text;
}

/** Resolves when the station says where its console is; fails with what it said instead. */
export async function isOpen(
  station: StationProcess,
): Promise<{ readonly console_url: string; readonly mqttPort: number }> {
  let end: string | undefined;
  void station.ended.then((code) => (end = `it ended with ${String(code)}`));
  return until(
    'the station says where it listens',
    () => {
      if (end !== undefined) throw new Error(`${end}: ${station.stderr()}`);
      const console_url = /^Console {2}(\S+)$/m.exec(station.stdout())?.[1];
      const port = /^MQTT {5}\S*:(\d+) \(/m.exec(station.stdout())?.[1];
      return console_url !== undefined && port !== undefined && { console_url, mqttPort: Number(port) };
    },
    60_000,
  );
}

/** A folder of the test's own, with one riser's profile, that is removed by `dispose`. */
export async function siteFolder(): Promise<{
  readonly variables: Record<string, string>;
  readonly folder: string;
  readonly dispose: () => Promise<void>;
}> {
  const folder = await mkdtemp(join(tmpdir(), 'tidemark-station-'));
  await writeFile(join(folder, 'deluge-1.riser.yaml'), profileText);
  const variables = {
    TIDEMARK_DATA: join(folder, 'data'),
    TIDEMARK_PROFILES: folder,
    TIDEMARK_HTTP_PORT: '0',
    TIDEMARK_MQTT_PORT: '0',
  };
  return { variables, folder, dispose: () => rm(folder, { recursive: true, force: true }) };
}

/** A riser whose signals take a second at most, so that a test need not wait long for what stays away. */
export const profileText = `account: quayside-cold-store
riser: deluge-1
site: { name: Quayside cold store, timeZone: Europe/Oslo }
release: electric
points:
  - { point: 1, signal: manual-pull, label: Pull station }
  - { point: 3, signal: waterflow, label: Waterflow switch }
  - { point: 4, signal: supply-valve, label: Supply valve }
  - { point: 5, signal: prime-pressure-low, label: Priming pressure }
  - { point: 6, signal: solenoid, label: Release solenoid }
link: { latencySeconds: 1 }
`;

const topic = 'risers/v1/quayside-cold-store/deluge-1';

/** What a client of the station heard. */
export interface Listener {
  readonly findings: Readonly<Record<string, unknown>>[];
  readonly states: Readonly<Record<string, unknown>>[];
  readonly signal: (id: string, name: string, state: string) => Promise<void>;
  readonly close: () => Promise<void>;
}

/** A real MQTT client that listens to states and findings and can speak as a panel. */
export async function listenTo(port: number): Promise<Listener> {
  const client: MqttClient = await connectAsync({
    host: '127.0.0.1',
    port,
    protocol: 'mqtt',
    protocolVersion: 5,
    reconnectPeriod: 100,
  });
  const findings: Record<string, unknown>[] = [];
  const states: Record<string, unknown>[] = [];
  client.on('message', (heard, payload) => {
    const into = heard.endsWith('/finding') ? findings : states;
    into.push(JSON.parse(payload.toString()) as Record<string, unknown>);
  });
  await client.subscribeAsync([`${topic}/state`, `${topic}/finding`], { qos: 1 });
  return {
    findings,
    states,
    signal: async (id, name, state) => {
      const event = {
        specversion: '1.0',
        id,
        source: '/quayside-cold-store/panel-2',
        type: 'riser.signal.v1',
        subject: 'deluge-1',
        time: new Date().toISOString(),
        data: { signal: name, state },
      };
      await client.publishAsync(`${topic}/signal`, JSON.stringify(event), { qos: 1 });
    },
    close: () => client.endAsync(true),
  };
}
