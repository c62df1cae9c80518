import { once } from 'node:events';
import { readFile } from 'node:fs/promises';
import { connectAsync } from 'mqtt';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { freePort, startMosquitto } from '../support/mosquitto.ts';
import type { Mosquitto } from '../support/mosquitto.ts';
import { linkLine, recordedLine, signalLine } from '../support/replay-lines.ts';
import { collected, inFolder, objects, riserFile, startTidemark, tidemarkHere } from '../support/tidemark.ts';
import { until } from '../support/until.ts';

const topic = 'risers/v1/quayside-cold-store/deluge-1/signal';
let broker: Mosquitto;
let url: string;

beforeAll(async () => {
  broker = await startMosquitto();
  url = `mqtt://127.0.0.1:${String(broker.port)}`;
});
afterAll(() => broker.dispose());

/** Starts `tidemark record` as a process and waits until it listens. */
async function recorder(...flags: readonly string[]) {
  const child = startTidemark(['record', '--mqtt', url, ...flags]);
  const [out, err] = [collected(child.stdout), collected(child.stderr)];
  await until('the recorder listens', () => err().includes('recording from'));
  const stop = async (): Promise<number | null> => {
    child.kill('SIGINT');
    const [code] = (await once(child, 'close')) as [number | null];
    return code;
  };
  return { out, err, stop };
}

describe('tidemark record', () => {
  it('writes what arrived, a line each, broken payloads and all, until Ctrl-C', async () => {
    const { out, err, stop } = await recorder();
    const client = await connectAsync(url, { protocolVersion: 5 });
    const contentType = 'application/vnd.contact-id';
    await client.publishAsync(topic, '1234 18 1113 01 003 1', { qos: 1, properties: { contentType } });
    await client.publishAsync(topic, Buffer.from([0xfe, 0xff]), { qos: 1 });
    await client.publishAsync('risers/v1/quayside-cold-store/deluge-1/link', '{"link":"up"}', { qos: 1, retain: true });
    await client.publishAsync('risers/v1/quayside-cold-store/deluge-1/state', '{}', { qos: 1 });
    await client.endAsync();
    await until('three messages are written', () => out().split('\n').length === 4);

    const code = await stop();

    expect(code).toBe(0);
    expect(err()).toContain('3 messages recorded');
    expect(objects(out()).map(({ receivedtime, ...line }) => [typeof receivedtime, line])).toEqual([
      ['string', { topic, contentType, payload: '1234 18 1113 01 003 1' }],
      ['string', { topic, payloadBase64: '/v8=' }],
      ['string', { topic: 'risers/v1/quayside-cold-store/deluge-1/link', payload: '{"link":"up"}' }],
    ]);
  });

  it('cannot run without its broker, or into a file that exists', async () => {
    const nowhere = `mqtt://127.0.0.1:${String(await freePort())}`;

    const unreached = await tidemarkHere(['record', '--mqtt', nowhere]);
    const taken = await inFolder({ 'log.ndjson': 'mine' }, async (path) => {
      const ran = await tidemarkHere(['record', '--mqtt', url, '--out', path('log.ndjson')]);
      return { ...ran, kept: await readFile(path('log.ndjson'), 'utf8') };
    });

    expect(unreached).toEqual({
      code: 2,
      out: '',
      err: expect.stringMatching(/^cannot reach mqtt:\/\/.*\n$/) as string,
    });
    expect(taken).toMatchObject({ code: 2, out: '', kept: 'mine' });
    expect(taken.err).toMatch(/cannot write .*log\.ndjson: there is a file of that name already\n$/);
  });
});

describe('tidemark play', () => {
  const log = [
    linkLine('l1', '08:00:00.000', 'up', 'morning'),
    signalLine('s1', '08:00:01.000', { data: { signal: 'periodic-test', state: 'active' } }),
    signalLine('s2', '08:20:00.000', { data: { signal: 'heat', state: 'active' } }),
    recordedLine('08:20:01.000', { payload: '1234 18 1113 01 003 1', contentType: 'application/vnd.contact-id' }),
    signalLine('s2', '08:20:00.000', {
      data: { signal: 'heat', state: 'active' },
      receivedtime: '2026-03-02T08:20:02.000Z',
    }),
    '{"type":"riser.command.v1","subject":"deluge-1","time":"2026-03-02T08:20:03Z","data":{"command":"test-end"}}',
    'tide',
  ].join('\n');

  it('sends a log so that its recording tells the same story, an hour in a second', async () => {
    const { out, stop } = await recorder();

    const ran = await inFolder({ 'log.ndjson': log }, (path) =>
      tidemarkHere(['play', path('log.ndjson'), '--mqtt', url, '--speed', '3600']),
    );
    // The link message is retained, so the recorder may hold one of an earlier test before these.
    await until(
      'five messages are recorded',
      () =>
        objects(out()).filter(({ payload }) => String(payload).includes('~')).length >= 4 &&
        out().includes('1234 18 1113'),
    );
    const code = await stop();

    expect(ran).toEqual({
      code: 0,
      out: '',
      err: '5 messages sent, 0 refused by the broker, 1 commands and 1 unreadable lines left out\n',
    });
    expect(code).toBe(0);
    const replayed = await inFolder({ 'recorded.ndjson': out() }, (path) =>
      tidemarkHere(['replay', path('recorded.ndjson'), '--profile', riserFile('quayside-deluge-1'), '--json']),
    );
    const said = objects(replayed.out);
    expect(said.filter(({ kind }) => kind === 'phase').map(({ phase }) => phase)).toEqual([
      'unknown',
      'in-service',
      'alarm',
      'flowing',
    ]);
    expect(said.at(-1)).toMatchObject({ kind: 'summary', signals: 3, duplicates: 1, quarantined: 0 });
  });

  it('cannot run without its broker, its file, or a speed above nothing', async () => {
    const { port } = broker;
    const missing = await tidemarkHere(['play', 'nowhere.ndjson', '--mqtt', `mqtt://127.0.0.1:${String(port)}`]);
    const still = await tidemarkHere(['play', 'x.ndjson', '--mqtt', url, '--speed', '0']);
    const scheme = await tidemarkHere(['play', 'x.ndjson', '--mqtt', 'http://127.0.0.1']);

    expect(missing).toEqual({ code: 2, out: '', err: 'cannot read nowhere.ndjson: there is no such file\n' });
    expect(still).toMatchObject({ code: 2, out: '', err: expect.stringContaining("option '--speed <n>'") as string });
    expect(scheme).toMatchObject({ code: 2, out: '', err: expect.stringContaining('expected mqtt://') as string });
  });

  it('stops at Ctrl-C in the middle of a wait', async () => {
    const stop = new AbortController();
    const ran = inFolder({ 'log.ndjson': log }, (path) =>
      tidemarkHere(['play', path('log.ndjson'), '--mqtt', url], { stop: stop.signal }),
    );
    const client = await connectAsync(url);
    await client.subscribeAsync(topic);
    const first = await new Promise<Buffer>((resolve) => client.once('message', (_topic, payload) => resolve(payload)));
    stop.abort();

    expect(JSON.parse(first.toString())).toMatchObject({ subject: 'deluge-1' });
    expect(await ran).toMatchObject({
      code: 0,
      out: '',
      err: expect.stringMatching(/^stopped: 2 messages sent/) as string,
    });
    await client.endAsync();
  });
});
