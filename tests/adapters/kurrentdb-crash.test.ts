import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { fileURLToPath } from 'node:url';
import { expect, it, onTestFinished } from 'vitest';
import { seededRandom } from '@tidemark/kernel';
import { DoubleCluster } from '../support/kurrentdb-double/double-cluster.ts';
import { collect, openJournal, upTo } from '../support/kurrentdb-material.ts';

/** How often the writer is killed. */
const kills = 3;

/** Draws after how many promises each kill falls, and how much is delivered again. */
const seed = 20_261_125;

const root = fileURLToPath(new URL('../..', import.meta.url));
const writer = fileURLToPath(new URL('kurrentdb-writer.ts', import.meta.url));

/** Lets the writer run until it has promised this many numbers, kills it without warning, and gives back its promises. */
async function killAfter(url: string, first: number, promises: number): Promise<readonly number[]> {
  const process = spawn(
    globalThis.process.execPath,
    ['--conditions=tidemark-source', '--import', 'tsx', writer, url, String(first), String(seed + first)],
    { cwd: root, stdio: ['ignore', 'pipe', 'pipe'] },
  );
  const closed = once(process, 'close');
  let [complaint, promised] = ['', ''];
  process.stderr.setEncoding('utf8').on('data', (text: string) => (complaint += text));
  process.stdout.setEncoding('utf8').on('data', (text: string) => {
    promised += text;
    if (promised.split('\n').length > promises) process.kill('SIGKILL');
  });
  const [, signal] = (await closed) as [number | null, string | null];
  expect({ signal, complaint }).toEqual({ signal: 'SIGKILL', complaint: '' });
  return promised.split('\n').slice(0, -1).map(Number);
}

it('a writer before a double that is killed amid appends, and delivers again what it may have lost, records each event once', async () => {
  const double = await DoubleCluster.start();
  onTestFinished(() => double.stop());
  const random = seededRandom(seed);
  const promised = new Set<number>();
  let first = 0;

  for (let kill = 0; kill < kills; kill += 1) {
    const promises = await killAfter(double.url, first, random.between(20, 300));
    for (const number of promises) promised.add(number);
    // An at-least-once source begins again before the first number that was not promised.
    const lost = upTo(promised.size + 1).find((number) => !promised.has(number)) ?? 0;
    first = Math.max(0, lost - random.between(0, 40));
  }

  const journal = openJournal({ url: double.url, namespace: 'crash' });
  const recorded = (await collect(journal.readAll())).map(({ data }) => data['number'] as number);
  expect(new Set(recorded).size).toBe(recorded.length);
  expect([...promised].filter((number) => !recorded.includes(number))).toEqual([]);
  expect(promised.size).toBeGreaterThan(60);
  expect(await journal.verify()).toMatchObject({ ok: true, value: { events: recorded.length } });
}, 120_000);
