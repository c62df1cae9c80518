import { describe, expect, it } from 'vitest';
import { commandLine, linkLine, recordedLine, signalLine } from '../support/replay-lines.ts';
import { inFolder, objects, riserFile, tidemarkHere as tidemark } from '../support/tidemark.ts';
import type { Ran } from '../support/tidemark.ts';

/** CONTRACT 7.1, sentence by sentence, through the whole command in this process; `cli-process` runs it as a child. */

const quayside = riserFile('quayside-deluge-1');
const riser = 'quayside-cold-store/deluge-1';

const replayed = (lines: readonly string[], ...flags: readonly string[]): Promise<Ran> =>
  inFolder({ 'log.ndjson': lines.join('\n') }, (path) =>
    tidemark(['replay', path('log.ndjson'), '--profile', quayside, ...flags]),
  );

/** The objects of `--json`; the command must have ended well and said nothing else. */
async function told(
  lines: readonly string[],
  ...flags: readonly string[]
): Promise<readonly Readonly<Record<string, unknown>>[]> {
  const ran = await replayed(lines, '--json', ...flags);
  expect({ code: ran.code, err: ran.err }).toEqual({ code: 0, err: '' });
  return objects(ran.out);
}

const phase = (name: string, at: string) => ({ kind: 'phase', phase: name, at: `2026-03-02T${at}Z`, riser });
const summary = (change: Readonly<Record<string, unknown>>) => ({
  kind: 'summary',
  lines: 1,
  signals: 0,
  commands: 0,
  links: 0,
  duplicates: 0,
  quarantined: 0,
  findings: {},
  ...change,
});
const kinds = (said: readonly Readonly<Record<string, unknown>>[], kind: string) =>
  said.filter((each) => each['kind'] === kind);

describe('a line of a replay', () => {
  it('is a signal, a station command or a link message', async () => {
    const said = await told([
      linkLine('l1', '08:00:00.000', 'up', 'morning'),
      signalLine('s1', '08:00:01.000', { data: { signal: 'periodic-test', state: 'active' } }),
      commandLine('c1', '08:01:00.000', { command: 'impairment-begin', kind: 'planned', reason: 'paint' }),
      commandLine('c2', '08:02:00.000', { command: 'impairment-end' }),
    ]);

    expect(said).toEqual([
      phase('unknown', '08:00:00.000'),
      phase('in-service', '08:00:01.000'),
      phase('impaired', '08:01:00.000'),
      phase('in-service', '08:02:00.000'),
      summary({ lines: 4, signals: 1, commands: 2, links: 1 }),
    ]);
  });

  it('is a recording of what arrived, with text, an object, or bytes', async () => {
    const heat = JSON.parse(signalLine('s2', '08:01:00.000', { data: { signal: 'heat', state: 'active' } })) as object;
    const bytes = Buffer.from(signalLine('s3', '08:01:05.000', { data: { signal: 'heat', state: 'restored' } }));

    const said = await told([
      recordedLine('08:00:00.100', {
        payload: signalLine('s1', '08:00:00.000', { data: { signal: 'periodic-test', state: 'active' } }),
      }),
      recordedLine('08:01:00.100', { payload: heat, contentType: 'application/cloudevents+json' }),
      recordedLine('08:01:05.100', { payloadBase64: bytes.toString('base64') }),
    ]);

    expect(said).toEqual([
      phase('unknown', '08:00:00.100'),
      phase('in-service', '08:00:00.100'),
      phase('alarm', '08:01:00.100'),
      summary({ lines: 3, signals: 3 }),
    ]);
  });

  it('is a recording of Contact ID text, or of a broken payload', async () => {
    const said = await told([
      recordedLine('08:00:00.000', { payload: '1234 18 1602 00 000 2' }),
      recordedLine('08:01:00.000', { payload: '{"specversion":' }),
      recordedLine('08:02:00.000', { payload: '1234 18 1114 01 002 1', contentType: 'application/vnd.contact-id' }),
    ]);

    expect(said).toMatchObject([
      phase('unknown', '08:00:00.000'),
      phase('in-service', '08:00:00.000'),
      { kind: 'quarantine', line: 2, reason: 'not-json' },
      phase('alarm', '08:02:00.000'),
      summary({ lines: 3, signals: 2, quarantined: 1 }),
    ]);
  });

  it('is received at receivedtime, or at time where that is missing', async () => {
    const test = { data: { signal: 'periodic-test', state: 'active' } };

    const said = await told([
      signalLine('s1', '08:00:00.000', test),
      signalLine('s2', '08:00:02.000', {
        receivedtime: '2026-03-02T09:05:03.500+01:00',
        data: { signal: 'heat', state: 'active' },
      }),
    ]);

    expect(kinds(said, 'phase')).toEqual([
      phase('unknown', '08:00:00.000'),
      phase('in-service', '08:00:00.000'),
      phase('alarm', '08:05:03.500'),
    ]);
  });

  it.each([
    ['another account', signalLine('s1', '08:00:00.000', { source: '/harbour-cold-store/panel-2' }), 'wrong-account'],
    ['another riser', signalLine('s1', '08:00:00.000', { subject: 'deluge-2' }), 'wrong-riser'],
    [
      'another riser in a command',
      commandLine('c1', '08:00:00.000', { command: 'test-end' }).replace('deluge-1', 'deluge-2'),
      'wrong-riser',
    ],
    [
      'another riser in a link message',
      linkLine('l1', '08:00:00.000', 'up', 'a').replace('deluge-1', 'deluge-2'),
      'wrong-riser',
    ],
    [
      'another account in a topic',
      recordedLine('08:00:00.000', { payload: '{}' }).replace('quayside-cold-store', 'harbour'),
      'unknown-riser',
    ],
    ['no time at all', signalLine('s1', '08:00:00.000', { time: null }), 'no-receipt-time'],
    ['no JSON', 'tide', 'not-json'],
    ['an unknown command', commandLine('c1', '08:00:00.000', { command: 'open-valve' }), 'malformed-command'],
  ])('that names %s is quarantined, and the run ends well', async (_what, line, reason) => {
    const said = await told([line]);

    expect(kinds(said, 'quarantine')).toEqual([
      { kind: 'quarantine', line: 1, reason, detail: expect.any(String) as string },
    ]);
    expect(said.at(-1)).toEqual(summary({ quarantined: 1 }));
  });

  it('from any panel of the account is taken', async () => {
    const said = await told([signalLine('s1', '08:00:00.000', { source: '/quayside-cold-store/annexe/panel-9' })]);

    expect(said.at(-1)).toMatchObject({ signals: 1, quarantined: 0 });
  });
});

describe('the same source and id again', () => {
  it('is counted and never folded twice', async () => {
    const heat = signalLine('s1', '08:00:00.000', { data: { signal: 'heat', state: 'active' } });
    const restored = signalLine('s2', '08:01:00.000', { data: { signal: 'heat', state: 'restored' } });
    const reset = signalLine('s3', '08:02:00.000', { data: { signal: 'reset', state: 'performed' } });
    const again = heat.replace('"time"', '"receivedtime":"2026-03-02T08:03:00.000Z","time"');

    const said = await told([heat, restored, reset, again]);

    expect(kinds(said, 'phase').at(-1)).toEqual(phase('in-service', '08:02:00.000'));
    expect(said.at(-1)).toMatchObject({ lines: 4, signals: 3, duplicates: 1 });
  });

  it('is told apart by the source, and counts for commands as well', async () => {
    const begin = commandLine('x1', '08:01:00.000', { command: 'test-begin', forSeconds: 60, expect: [] });
    const later = begin.replace('08:01:00', '08:09:00');

    const said = await told([
      signalLine('x1', '08:00:00.000', { data: { signal: 'periodic-test', state: 'active' } }),
      signalLine('x1', '08:00:01.000', {
        data: { signal: 'periodic-test', state: 'active' },
        source: '/quayside-cold-store/panel-3',
      }),
      begin,
      later,
    ]);

    expect(said.at(-1)).toMatchObject({ signals: 2, commands: 1, duplicates: 1 });
    expect(kinds(said, 'phase').at(-1)).toEqual(phase('in-service', '08:02:00.000'));
  });
});

describe('a station command', () => {
  const quiet = signalLine('s1', '08:00:00.000', { data: { signal: 'periodic-test', state: 'active' } });

  it('opens a test window that ends when its time is over', async () => {
    const said = await told(
      [quiet, commandLine('c1', '08:01:00.000', { command: 'test-begin', forSeconds: 300, expect: [] })],
      '--until',
      '+1h',
    );

    expect(kinds(said, 'phase').slice(2)).toEqual([
      phase('alarm-test', '08:01:00.000'),
      phase('in-service', '08:06:00.000'),
    ]);
  });

  it('closes a test window before that', async () => {
    const said = await told(
      [
        quiet,
        commandLine('c1', '08:01:00.000', { command: 'test-begin', forSeconds: 300, expect: [] }),
        commandLine('c2', '08:03:00.000', { command: 'test-end' }),
      ],
      '--until',
      '+1h',
    );

    expect(kinds(said, 'phase').slice(2)).toEqual([
      phase('alarm-test', '08:01:00.000'),
      phase('in-service', '08:03:00.000'),
    ]);
  });

  it('is matched by the panel’s own test-mode', async () => {
    const said = await told([
      quiet,
      signalLine('s2', '08:01:00.000', { data: { signal: 'test-mode', state: 'active' } }),
      signalLine('s3', '08:03:00.000', { data: { signal: 'test-mode', state: 'restored' } }),
    ]);

    expect(kinds(said, 'phase').slice(2)).toEqual([
      phase('alarm-test', '08:01:00.000'),
      phase('in-service', '08:03:00.000'),
    ]);
  });

  it('acknowledges a finding by its code', async () => {
    const said = await told([
      signalLine('s1', '08:00:00.000', { data: { signal: 'flow', value: 1, unit: 'gpm', point: 40 } }),
      commandLine('c1', '08:01:00.000', { command: 'acknowledge', finding: 'unknown-point' }),
    ]);

    expect(kinds(said, 'finding')).toMatchObject([
      { code: 'unknown-point', status: 'raised', alertState: 'unacknowledged' },
      { code: 'unknown-point', status: 'updated', alertState: 'acknowledged' },
    ]);
  });

  it('confirms what somebody on site saw without changing the phase', async () => {
    const said = await told([
      quiet,
      commandLine('c1', '08:01:00.000', { command: 'confirm', step: 'low-points-drained' }),
    ]);

    expect(said).toEqual([
      phase('unknown', '08:00:00.000'),
      phase('in-service', '08:00:00.000'),
      summary({ lines: 2, signals: 1, commands: 1 }),
    ]);
  });
});

describe('the clock of a replay', () => {
  const quiet = signalLine('s1', '08:00:00.000', { data: { signal: 'periodic-test', state: 'active' } });
  const water = signalLine('s2', '08:10:00.000');
  const raisedAt = (said: readonly Readonly<Record<string, unknown>>[]) =>
    kinds(said, 'finding').map(({ code, status, at }) => [code, status, at]);
  const flowWithoutRelease = ['flow-without-release', 'raised', '2026-03-02T08:10:10.000Z'];

  it('stops at the last line', async () => {
    expect(raisedAt(await told([quiet, water]))).toEqual([]);
  });

  it.each(['+10s', '+5m', '+3h', '+2d', '+PT15S', '2026-03-02T09:10:10+01:00'])(
    'runs on with --until %s so that deadlines fall due',
    async (until) => {
      expect(raisedAt(await told([quiet, water], '--until', until))).toContainEqual(flowWithoutRelease);
    },
  );

  it('does not run on to a deadline it does not reach', async () => {
    expect(raisedAt(await told([quiet, water], '--until', '+9s'))).toEqual([]);
  });

  it('lets deadlines fall due between lines', async () => {
    const said = await told([
      quiet,
      water,
      signalLine('s3', '08:30:00.000', { data: { signal: 'silence', state: 'performed' } }),
    ]);

    expect(raisedAt(said)).toEqual([flowWithoutRelease]);
  });

  it('takes lines in the order of receipt, whatever their order in the file', async () => {
    const lines = [
      quiet,
      signalLine('s2', '08:10:00.000', { data: { signal: 'heat', state: 'active' } }),
      signalLine('s3', '08:11:00.000', { data: { signal: 'heat', state: 'restored' } }),
      signalLine('s4', '08:12:00.000', { data: { signal: 'reset', state: 'performed' } }),
    ];

    expect(await told(lines.toReversed())).toEqual(await told(lines));
  });

  it('says so when --until lies before the last line, and stops at that line', async () => {
    const ran = await replayed([quiet, water], '--json', '--until', '2026-03-02T08:05:00Z');

    expect(ran.code).toBe(0);
    expect(ran.err).toBe('--until lies before the receipt of the last line: the clock stops at that line\n');
    expect(objects(ran.out).at(-1)).toMatchObject({ signals: 2 });
  });
});

describe('the output of a replay', () => {
  const water = [
    signalLine('s1', '08:00:00.000', { data: { signal: 'periodic-test', state: 'active' } }),
    'broken',
    signalLine('s2', '08:10:00.000'),
  ];

  it('tells a finding as section 5 writes it, after the phases, and a summary last', async () => {
    const said = await told(water, '--until', '+1m');

    expect(said.map(({ kind }) => kind)).toEqual(['phase', 'phase', 'quarantine', 'phase', 'finding', 'summary']);
    expect(kinds(said, 'finding')).toEqual([
      {
        kind: 'finding',
        id: expect.stringMatching(/./) as string,
        code: 'flow-without-release',
        riser,
        severity: 'critical',
        status: 'raised',
        alertState: 'unacknowledged',
        at: '2026-03-02T08:10:10.000Z',
        raisedAt: '2026-03-02T08:10:10.000Z',
        evidence: [{ id: '/quayside-cold-store/panel-2 s2', what: 'waterflow', at: '2026-03-02T08:10:00.000Z' }],
        explanation: expect.stringMatching(/./) as string,
        causes: expect.arrayContaining([
          {
            causes: expect.any(Array) as string[],
            probability: expect.any(Number) as number,
            check: expect.any(String) as string,
          },
        ]) as object[],
        advice: expect.stringMatching(/./) as string,
        caution: expect.any(String) as string,
      },
    ]);
    expect(said.at(-1)).toEqual(
      summary({ lines: 3, signals: 2, quarantined: 1, findings: { 'flow-without-release': 1 } }),
    );
  });

  it('tells a person the same, a line a change, on the site’s clock and without colours', async () => {
    const { code, out, err } = await replayed(water, '--until', '+1m');

    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(out.split('\n').map((line) => line.replace(/without-release: .*/, 'without-release: …'))).toEqual([
      '2026-03-02 09:00:00.000 GMT+1  phase        unknown',
      '2026-03-02 09:00:00.000 GMT+1  phase        in-service',
      '2026-03-02 09:00:00.000 GMT+1  quarantined  line 2: not-json: The payload is not JSON text (RFC 8259); expected one JSON object.',
      '2026-03-02 09:10:00.000 GMT+1  phase        flowing',
      '2026-03-02 09:10:10.000 GMT+1  raised       critical flow-without-release: …',
      '3 lines: 2 signals, 0 commands, 0 link messages, 0 duplicates, 1 quarantined',
      'Findings raised: flow-without-release 1',
      '',
    ]);
  });

  it('begins with the starting phase even of a file in which nothing is said', async () => {
    expect(await told([''])).toEqual([{ kind: 'phase', phase: 'unknown', at: null, riser }, summary({ lines: 0 })]);
    expect(await told([''], '--until', '2026-03-02T08:00:00Z')).toEqual([
      phase('unknown', '08:00:00.000'),
      summary({ lines: 0 }),
    ]);
  });
});

describe('a replay that cannot run', () => {
  it.each<[string, readonly string[], RegExp]>([
    [
      'a file that is not there',
      ['nowhere.ndjson', '--profile', quayside],
      /^cannot read nowhere\.ndjson: there is no such file\n$/,
    ],
    ['a folder', ['scenarios', '--profile', quayside], /^cannot read scenarios: expected a file.*\n$/],
    [
      'a profile that is not there',
      ['x.ndjson', '--profile', 'no.yaml'],
      /^cannot read no\.yaml: there is no such file\n$/,
    ],
    ['no profile', ['x.ndjson'], /^error: required option '--profile <file>' not specified\n$/],
    ['no file', ['--profile', quayside], /^error: missing required argument 'file\.ndjson'\n$/],
    [
      'a wrong --until',
      ['x.ndjson', '--profile', quayside, '--until', '90s'],
      /^error: option '--until <time>'.*expected \+90s.*\n$/,
    ],
    ['an unknown option', ['x.ndjson', '--profile', quayside, '--jsn'], /^error: unknown option '--jsn'\n/],
  ])('says why in a line and exits with 2: %s', async (_what, args, line) => {
    const ran = await tidemark(['replay', ...args]);

    expect(ran).toEqual({ code: 2, out: '', err: expect.stringMatching(line) as string });
  });

  it('names file, line, key and what was expected for each mistake in a profile', async () => {
    const profile =
      'account: quayside\nriser: deluge-1\nsite: { name: Quay, timeZone: Europe/Oslo }\nrelease: eletric\npoints: []\n';

    const ran = await inFolder({ 'p.riser.yaml': profile, 'log.ndjson': '' }, (path) =>
      tidemark(['replay', path('log.ndjson'), '--profile', path('p.riser.yaml')]),
    );

    expect(ran.code).toBe(2);
    expect(ran.out).toBe('');
    expect(ran.err.split('\n').map((line) => line.replace(/^.*\//, ''))).toEqual([
      'p.riser.yaml:4: release: expected electric, wet-pilot or dry-pilot',
      expect.stringMatching(/^p\.riser\.yaml:5: points: expected /),
      '',
    ]);
  });
});
