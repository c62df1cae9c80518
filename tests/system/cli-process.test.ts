import { execFile } from 'node:child_process';
import { once } from 'node:events';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { describe, expect, it } from 'vitest';
import { signalLine } from '../support/replay-lines.ts';
import { collected, inFolder, objects, riserFile, startTidemark, tidemark } from '../support/tidemark.ts';

/** What only a process shows: its exit code, its two streams, a reader that goes away. */

const quayside = riserFile('quayside-deluge-1');
const root = fileURLToPath(new URL('../..', import.meta.url));
const log = [
  signalLine('s1', '08:00:00.000', { data: { signal: 'periodic-test', state: 'active' } }),
  'broken',
  signalLine('s2', '08:10:00.000'),
].join('\n');

const replay = (...flags: readonly string[]) =>
  inFolder({ 'log.ndjson': log }, (path) => tidemark(['replay', path('log.ndjson'), '--profile', quayside, ...flags]));

describe('the tidemark process', () => {
  it('exits with 0 whatever was found, and puts objects and nothing else on standard output', async () => {
    const { code, out, err } = await replay('--json', '--until', '+1h');

    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(objects(out).map(({ kind }) => kind)).toContain('finding');
    expect(objects(out).at(-1)).toMatchObject({ kind: 'summary', quarantined: 1 });
  });

  it('runs under npm without a banner, as its help says', async () => {
    const { stdout } = await inFolder({ 'log.ndjson': log }, (path) =>
      promisify(execFile)(
        'npm',
        ['run', '-s', 'tidemark', '--', 'replay', path('log.ndjson'), '--profile', quayside, '--json'],
        {
          cwd: root,
        },
      ),
    );

    expect(objects(stdout).map(({ kind }) => kind)).toEqual(['phase', 'phase', 'quarantine', 'phase', 'summary']);
  });

  it('exits with 2 for a file that cannot be read, a wrong profile, a wrong option and an unknown command', async () => {
    const runs = await Promise.all([
      tidemark(['replay', 'nowhere.ndjson', '--profile', quayside]),
      inFolder({ 'p.yaml': 'account: [' }, (path) => tidemark(['replay', quayside, '--profile', path('p.yaml')])),
      tidemark(['replay', 'x.ndjson', '--profile', quayside, '--until', 'soon']),
      tidemark(['simulat', 'x.yaml']),
    ]);

    expect(runs.map(({ code, out }) => [code, out])).toEqual([
      [2, ''],
      [2, ''],
      [2, ''],
      [2, ''],
    ]);
    for (const { err } of runs) expect(err).toMatch(/^\S.*\n$/m);
  });

  it('shows its help on standard output and exits with 0', async () => {
    const { code, out, err } = await tidemark(['replay', '--help']);

    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(out).toMatch(/^Usage: tidemark replay \[options\] <file\.ndjson>/);
  });

  it('ends quietly when its reader has had enough', async () => {
    const many = Array.from({ length: 20_000 }, () => 'broken').join('\n');
    await inFolder({ 'log.ndjson': many }, async (path) => {
      const child = startTidemark(['replay', path('log.ndjson'), '--profile', quayside]);
      const err = collected(child.stderr);
      await once(child.stdout, 'data');
      child.stdout.destroy();

      const [code] = (await once(child, 'close')) as [number | null];

      expect({ code, err: err() }).toEqual({ code: 0, err: '' });
    });
  });
});
