import type { ChildProcess } from 'node:child_process';
import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { chmod, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { connect, createServer } from 'node:net';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { until } from './until.ts';

/** A real Mosquitto on a free port of loopback, in a folder of its own. */
export interface Mosquitto {
  readonly port: number;
  /** The process that runs now, if one does. */
  readonly pid: () => number | undefined;
  /** Ends it at once, as a crash would. */
  kill(): Promise<void>;
  /** Asks it to end, so that it stores its sessions first. */
  stop(): Promise<void>;
  /** Starts it again on the same port and folder. */
  start(): Promise<void>;
  /** Stops it and removes its folder. */
  dispose(): Promise<void>;
}

/** The settings that README advises for a broker in front of the station, and an open listener for the test. */
const settings = (port: number, folder: string, more: readonly string[]): string =>
  [
    `listener ${String(port)} 127.0.0.1`,
    ...(more.some((line) => line.startsWith('allow_anonymous')) ? [] : ['allow_anonymous true']),
    'persistence true',
    `persistence_location ${folder}/`,
    'max_inflight_messages 0',
    'max_queued_messages 0',
    'log_type none',
    ...more,
    '',
  ].join('\n');

/** Starts Mosquitto; fails saying what is missing when it is not installed. `more` are lines of its configuration. */
export async function startMosquitto(more: readonly string[] = []): Promise<Mosquitto> {
  const program = findProgram('mosquitto');
  const folder = await mkdtemp(join(tmpdir(), 'tidemark-mosquitto-'));
  // Started by root, it drops its rights and must still be able to write here.
  await chmod(folder, 0o777);
  const port = await freePort();
  const config = join(folder, 'mosquitto.conf');
  await writeFile(config, settings(port, folder, more));
  let running: ChildProcess | undefined;

  const start = async (): Promise<void> => {
    const child = spawn(program, ['-c', config], { stdio: ['ignore', 'ignore', 'inherit'] });
    running = child;
    await until('Mosquitto listens', async () => {
      if (child.exitCode !== null) throw new Error(`Mosquitto ended with ${String(child.exitCode)}`);
      return canConnect(port);
    });
  };
  const end = async (signal: NodeJS.Signals): Promise<void> => {
    const child = running;
    running = undefined;
    if (child === undefined || child.exitCode !== null || child.signalCode !== null) return;
    const ended = new Promise((resolve) => child.once('exit', resolve));
    child.kill(signal);
    await ended;
  };

  await start();
  return {
    port,
    pid: () => running?.pid,
    start,
    kill: () => end('SIGKILL'),
    stop: () => end('SIGTERM'),
    dispose: async () => {
      await end('SIGKILL');
      await rm(folder, { recursive: true, force: true });
    },
  };
}

/** A port that was free a moment ago. */
export async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as AddressInfo;
  await new Promise((resolve) => server.close(resolve));
  return port;
}

/** Where a program is, system daemons included; fails saying how to install it. */
export function findProgram(name: string): string {
  const folders = [...(process.env['PATH'] ?? '').split(delimiter), '/usr/sbin', '/usr/local/sbin'];
  const found = folders.map((folder) => join(folder, name)).find((path) => existsSync(path));
  if (found === undefined) throw new Error(`${name} is not installed: run "node tests/prepare.mjs"`);
  return found;
}

function canConnect(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    const socket = connect(port, '127.0.0.1');
    socket.once('connect', () => {
      socket.destroy();
      resolve(true);
    });
    socket.once('error', () => resolve(false));
  });
}
