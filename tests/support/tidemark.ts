import { spawn } from 'node:child_process';
import type { ChildProcessByStdio } from 'node:child_process';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { PassThrough } from 'node:stream';
import type { Readable } from 'node:stream';
import { fileURLToPath } from 'node:url';
import { runTidemark } from '@tidemark/cli';
import { instant } from '@tidemark/kernel';
import type { Terminal } from '@tidemark/cli';

/** How a run of the command ended. */
export interface Ran {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

const root = fileURLToPath(new URL('../..', import.meta.url));

/** Starts the real `tidemark` command from its source, its output on pipes. */
export function startTidemark(
  args: readonly string[],
  environment: NodeJS.ProcessEnv = {},
): ChildProcessByStdio<null, Readable, Readable> {
  const entry = join(root, 'services/cli/src/main.ts');
  return spawn(process.execPath, ['--conditions=tidemark-source', '--import', 'tsx', entry, ...args], {
    cwd: root,
    env: { ...process.env, ...environment },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
}

/** Runs the `tidemark` command to its end. */
export async function tidemark(args: readonly string[], environment?: NodeJS.ProcessEnv): Promise<Ran> {
  const child = startTidemark(args, environment);
  const [out, err] = [collected(child.stdout), collected(child.stderr)];
  const code = await new Promise<number | null>((resolve) => child.once('close', resolve));
  return { code, out: out(), err: err() };
}

/** Runs the `tidemark` command to its end within this process. */
export async function tidemarkHere(args: readonly string[], change: Partial<Terminal> = {}): Promise<Ran> {
  const [out, err] = [new PassThrough(), new PassThrough()];
  const [said, remarked] = [collected(out), collected(err)];
  const code = await runTidemark(args, {
    out,
    err,
    environment: {},
    now: () => instant(Date.now()),
    stop: new AbortController().signal,
    ...change,
  });
  return { code, out: said(), err: remarked() };
}

/** What a stream has said so far. */
export function collected(stream: Readable): () => string {
  const chunks: Buffer[] = [];
  stream.on('data', (chunk: Buffer) => chunks.push(chunk));
  return () => Buffer.concat(chunks).toString('utf8');
}

/** Runs a test in a folder of its own that holds these files. */
export async function inFolder<Value>(
  files: Readonly<Record<string, string>>,
  run: (path: (name: string) => string) => Promise<Value>,
): Promise<Value> {
  const folder = await mkdtemp(join(tmpdir(), 'tidemark-cli-'));
  try {
    for (const [name, text] of Object.entries(files)) await writeFile(join(folder, name), text);
    return await run((name) => join(folder, name));
  } finally {
    await rm(folder, { recursive: true });
  }
}

/** The profile of a riser of `scenarios/`. */
export const riserFile = (name: string): string => join(root, 'scenarios/risers', `${name}.riser.yaml`);

/** The lines of an output, each an object. */
export const objects = (out: string): readonly Readonly<Record<string, unknown>>[] =>
  out
    .split('\n')
    .filter((line) => line !== '')
    .map((line) => JSON.parse(line) as Readonly<Record<string, unknown>>);
