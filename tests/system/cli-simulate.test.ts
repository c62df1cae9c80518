import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { PassThrough } from 'node:stream';
import { instant } from '@tidemark/kernel';
import { connectAsync } from 'mqtt';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startMosquitto } from '../support/mosquitto.ts';
import type { Mosquitto } from '../support/mosquitto.ts';
import { collected, inFolder, objects, riserFile, tidemarkHere } from '../support/tidemark.ts';
import { until } from '../support/until.ts';

const storyFile = (name: string): string =>
  join(fileURLToPath(new URL('../../scenarios/plant', import.meta.url)), `${name}.yaml`);

const test = storyFile('an-announced-alarm-test-with-the-test-valve-raises-nothing');
const trip = storyFile('waterflow-after-the-retard-that-the-profile-names-raises-nothing');

interface Event {
  readonly type?: string;
  readonly time?: string;
  readonly data?: { readonly signal?: string; readonly state?: string; readonly command?: string };
}

/** What the lines of a log say, in short. */
const saidIn = (lines: readonly Readonly<Record<string, unknown>>[]): readonly string[] =>
  (lines as readonly Event[])
    .map(({ data }) => data?.command ?? (data?.signal === undefined ? 'link' : `${data.signal} ${data.state ?? ''}`))
    .filter((said) => !/^(panel-|periodic)/.test(said));

describe('tidemark simulate', () => {
  it('writes a log that replay understands, station commands and all', () =>
    inFolder({}, async (path) => {
      const simulated = await tidemarkHere(['simulate', test, '--out', path('log.ndjson')]);
      const replayed = await tidemarkHere([
        'replay',
        path('log.ndjson'),
        '--profile',
        riserFile('quayside-deluge-1'),
        '--json',
      ]);

      expect(simulated).toEqual({
        code: 0,
        out: '',
        err: expect.stringMatching(/messages and 2 commands written\n$/) as string,
      });
      expect(saidIn(objects(await readFile(path('log.ndjson'), 'utf8')))).toEqual([
        'link',
        'test-begin',
        'waterflow active',
        'waterflow restored',
        'reset performed',
        'test-end',
      ]);
      expect(objects(replayed.out).at(-1)).toMatchObject({ kind: 'summary', quarantined: 0, findings: {} });
    }));

  it('writes the same bytes each time, and to the standard output where no file is named', async () => {
    const [one, other] = [
      await tidemarkHere(['simulate', trip]),
      await tidemarkHere(['simulate', trip, '--speed', 'max']),
    ];

    expect(one.out).toBe(other.out);
    expect(saidIn(objects(one.out))).toContain('waterflow active');
  });

  it('draws the story into a new file', () =>
    inFolder({}, async (path) => {
      const flags = ['--out', path('log.ndjson'), '--plot', path('story.svg'), '--units', 'bar'];
      const { code } = await tidemarkHere(['simulate', trip, ...flags]);

      expect(code).toBe(0);
      expect(await readFile(path('story.svg'), 'utf8')).toMatch(/^<svg .*>Pressures, bar<.*<\/svg>$/s);
    }));

  it('shows a bar on a terminal and plain lines elsewhere', async () => {
    const shown = async (isTTY: boolean): Promise<string> => {
      let now_ms = 0;
      // A clock that goes on by a minute at each look, so that there is something to show.
      const now = () => instant((now_ms += 60_000));
      const err = Object.assign(new PassThrough(), { isTTY });
      const said = collected(err);
      await tidemarkHere(['simulate', trip], { err, now });
      return said();
    };

    expect(await shown(true)).toMatch(/\r\u001b\[K\[#{18}\.{6}\] 600 of 780 s of the story/);
    const plain = await shown(false);
    expect(plain).toMatch(/^600 of 780 s of the story$/m);
    expect(plain).not.toContain('\u001b');
  });

  it('stops cleanly when the user has enough', async () => {
    const stop = new AbortController();
    const out = new PassThrough();
    const said = collected(out);
    out.once('data', () => stop.abort());

    const { code, err } = await tidemarkHere(['simulate', trip, '--speed', '1'], { out, stop: stop.signal });

    expect(code).toBe(0);
    expect(err).toBe('stopped: 1 messages and 0 commands written\n');
    expect(said().split('\n')).toHaveLength(2);
  });
});

describe('tidemark simulate refuses', () => {
  const story = (steps: string, riser = 'deluge-1.riser.yaml'): string =>
    [
      'claim: A plant is played',
      `riser: ${riser}`,
      'given:',
      '  plant: standby',
      `  steps: [${steps}]`,
      'until: 5m',
      'expect: { findings: [], ends: in-service }',
      '',
    ].join('\n');

  it.each([
    ['what is no scenario', 'claim: 1\n', /story\.yaml:1: claim: expected/],
    [
      'a mistake in a step',
      story('{ at: 1m, press: rest }'),
      /story\.yaml:5: given\.steps\.0\.press: expected silence or reset/,
    ],
    [
      'a step that its riser has no point for',
      story('{ at: 1m, press: reset }, { at: 2m, operate: smoke }'),
      /story\.yaml:5: given\.steps\.1: expected a signal that the riser has a point for, unlike smoke/,
    ],
    [
      'a riser that is not there',
      story('', 'deluge-9.riser.yaml'),
      /cannot read .*deluge-9\.riser\.yaml: there is no such file/,
    ],
    ['a story told by what was heard', 'heard', /story\.yaml:4: given: expected a story of a plant/],
  ])('%s', async (_what, text, mistake) => {
    const heard = [
      'claim: It is heard',
      'riser: deluge-1.riser.yaml',
      '',
      'given:',
      '  heard:',
      '    - { at: 0s, active: heat }',
      'until: 5m',
      'expect: { findings: [], ends: alarm }',
    ].join('\n');
    const files = {
      'story.yaml': text === 'heard' ? heard : text,
      'deluge-1.riser.yaml': await readFile(riserFile('quayside-deluge-1'), 'utf8'),
    };

    const ran = await inFolder(files, (path) => tidemarkHere(['simulate', path('story.yaml')]));

    expect(ran).toMatchObject({ code: 2, out: '' });
    expect(ran.err).toMatch(mistake);
  });

  it('a file that exists, and a wrong speed', async () => {
    const taken = await inFolder({ 'story.svg': 'mine' }, async (path) => {
      const ran = await tidemarkHere(['simulate', trip, '--plot', path('story.svg')]);
      return { ...ran, kept: await readFile(path('story.svg'), 'utf8') };
    });
    const wrong = await tidemarkHere(['simulate', trip, '--speed', 'warp']);

    expect(taken).toMatchObject({ code: 2, out: '', kept: 'mine' });
    expect(wrong.code).toBe(2);
    expect(wrong.err).toContain('expected max, or a number above 0');
  });
});

describe('tidemark simulate over MQTT', () => {
  let broker: Mosquitto;

  beforeAll(async () => {
    broker = await startMosquitto();
  });
  afterAll(() => broker.dispose());

  it('sends what the panel sends, beginning now and so much faster, and leaves commands out', async () => {
    const url = `mqtt://127.0.0.1:${String(broker.port)}`;
    const client = await connectAsync(url, { protocolVersion: 5 });
    const heard: { readonly topic: string; readonly event: Event; readonly type: string | undefined }[] = [];
    client.on('message', (topic, payload, { properties }) => {
      heard.push({ topic, event: JSON.parse(payload.toString()) as Event, type: properties?.contentType });
    });
    await client.subscribeAsync('risers/v1/quayside-cold-store/deluge-1/#', { qos: 1 });
    const before_ms = Date.now();

    const ran = await tidemarkHere(['simulate', test, '--mqtt', url, '--speed', '36000']);
    await until('the reset is heard', () => heard.some(({ event }) => event.data?.signal === 'reset'));

    expect(ran.code).toBe(0);
    expect(ran.err).toMatch(/messages sent, 0 refused by the broker, 2 commands left out\n$/);
    const [link, ...signals] = heard;
    expect(link?.topic).toBe('risers/v1/quayside-cold-store/deluge-1/link');
    expect(new Set(signals.map(({ topic, type }) => `${topic} ${type ?? ''}`))).toEqual(
      new Set(['risers/v1/quayside-cold-store/deluge-1/signal application/cloudevents+json']),
    );
    const stamps = signals.map(({ event }) => Date.parse(event.time ?? ''));
    expect(stamps[0]).toBeGreaterThanOrEqual(before_ms);
    const at = (signal: string, state: string): number =>
      stamps[signals.findIndex(({ event }) => event.data?.signal === signal && event.data.state === state)] ?? NaN;
    // From 12 to 13 minutes and 23 seconds on the plant; 36000 times as fast.
    expect(at('waterflow', 'restored') - at('waterflow', 'active')).toBeLessThanOrEqual(3);
    await client.endAsync();
  });
});
