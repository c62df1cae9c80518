import { MemoryJournal } from '@tidemark/journal';
import { Ingest } from '@tidemark/ingest';
import type { BrokerNotice, IngestOptions } from '@tidemark/ingest';
import { seededRandom } from '@tidemark/kernel';
import { reasonCode } from '@tidemark/mqtt';
import { defaultPrefix } from '@tidemark/signals';
import { connectAsync } from 'mqtt';
import type { MqttClient } from 'mqtt';
import { afterEach, describe, expect, it } from 'vitest';
import { HeldJournal } from '../support/held-journal.ts';
import {
  installed,
  linkTopic,
  recorded,
  signalIds,
  signalTopic,
  systemClock,
  waterflow,
} from '../support/ingest-fixtures.ts';
import { startMosquitto } from '../support/mosquitto.ts';
import { connectPacket, publishPacket, RawClient } from '../support/raw-client.ts';
import { until } from '../support/until.ts';

const closing: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const close of closing.splice(0).reverse()) await close();
});

interface Open {
  readonly journal: HeldJournal;
  readonly ingest: Ingest;
  readonly port: number;
  readonly notices: BrokerNotice[];
}

async function open(embedded: Partial<NonNullable<IngestOptions['embedded']>> = {}): Promise<Open> {
  const journal = new HeldJournal(new MemoryJournal());
  const ingest = await Ingest.open({
    journal,
    now: systemClock,
    random: seededRandom(1),
    prefix: defaultPrefix,
    installed,
    embedded: { port: 0, ...embedded },
  });
  closing.push(() => ingest.close());
  const notices: BrokerNotice[] = [];
  ingest.notices?.subscribe((notice) => notices.push(notice));
  return { journal, ingest, port: ingest.port!, notices };
}

async function client(port: number, options: object = {}): Promise<MqttClient> {
  const connected = await connectAsync(`mqtt://127.0.0.1:${String(port)}`, options);
  closing.push(() => connected.endAsync(true));
  return connected;
}

function raw(port: number, version: 4 | 5): RawClient {
  const made = new RawClient(port, version);
  closing.push(() => {
    made.cut();
    return Promise.resolve();
  });
  return made;
}

describe.each([4, 5] as const)('the embedded door over MQTT version %i', (version) => {
  it('acknowledges nothing before the commit, and all in order after it', async () => {
    const { journal, port } = await open();
    const panel = raw(port, version);
    panel.connect();
    await panel.wait('connack');
    journal.hold();

    for (let id = 1; id <= 20; id += 1) panel.send(publishPacket(id, signalTopic, waterflow(`s${String(id)}`)));
    await until('the commit is asked for', () => journal.asked > 0);
    // The broker goes on with others meanwhile: had it acknowledged, it would be here by now.
    const other = raw(port, version);
    other.connect({ clientId: 'other' });
    other.send({ cmd: 'pingreq' });
    await other.wait('pingresp');

    expect(panel.ids('puback')).toEqual([]);
    expect(await signalIds(journal)).toEqual([]);

    journal.release();
    const expected = Array.from({ length: 20 }, (_, index) => index + 1);
    await until('all are acknowledged', () => panel.ids('puback').length === 20);
    expect(panel.ids('puback')).toEqual(expected);
    expect(await signalIds(journal)).toEqual(expected.map((id) => `s${String(id)}`));
  });

  it('takes what is sent behind CONNECT without waiting for its answer', async () => {
    const { journal, port } = await open();
    const panel = raw(port, version);

    panel.send(connectPacket(version), publishPacket(1, signalTopic, waterflow('early')));
    await panel.wait('puback');

    expect(await signalIds(journal)).toEqual(['early']);
  });

  it('holds a message while the journal is unavailable, and says so', async () => {
    const { journal, ingest, port } = await open();
    const health: boolean[] = [];
    ingest.health.subscribe(({ ok }) => health.push(ok));
    const panel = raw(port, version);
    panel.connect();
    await panel.wait('connack');

    journal.fail(3);
    panel.send(publishPacket(1, signalTopic, waterflow('a')));
    await panel.wait('puback');

    expect(await signalIds(journal)).toEqual(['a']);
    expect(health).toEqual([true, false, false, false, true]);
  });

  it('records the last will when a panel is cut off, and not when it says goodbye', async () => {
    const { journal, port } = await open();
    const will = { topic: linkTopic, payload: Buffer.from('{"link":"down","session":"s1"}'), qos: 1, retain: true };
    const panel = raw(port, version);
    panel.connect({ will });
    await panel.wait('connack');
    panel.send(publishPacket(1, linkTopic, '{"link":"up","session":"s1"}', { retain: true }));
    await panel.wait('puback');

    panel.cut();
    await until('the will is recorded', async () => (await recorded(journal, 'link-reported')).length === 2);
    const polite = raw(port, version);
    polite.connect({ will, clientId: 'polite' });
    await polite.wait('connack');
    polite.send({ cmd: 'disconnect', reasonCode: 0 });
    await until('it is gone', () => polite.closed);
    const reader = await client(port);
    await reader.publishAsync(signalTopic, waterflow('behind'), { qos: 1 });

    const links = (await recorded(journal, 'link-reported')).map(({ data }) => [data['link'], data['session']]);
    expect(links).toEqual([
      ['up', 's1'],
      ['down', 's1'],
    ]);
  });

  it('keeps the link for later readers, and no other retained message', async () => {
    const { port } = await open();
    const panel = await client(port, { protocolVersion: version });
    await panel.publishAsync(linkTopic, '{"link":"up"}', { qos: 1, retain: true });
    await panel.publishAsync(signalTopic, waterflow('a'), { qos: 1, retain: true });
    await panel.publishAsync(linkTopic, 'rubbish', { qos: 1, retain: true }).catch(() => undefined);

    const reader = await client(port, { protocolVersion: version });
    const heard: string[] = [];
    reader.on('message', (topic, payload) => heard.push(`${topic} ${payload.toString()}`));
    await reader.subscribeAsync(`${defaultPrefix}/#`, { qos: 1 });
    await panel.publishAsync(signalTopic, waterflow('live'), { qos: 1 });
    await until('the live one came', () => heard.some((text) => text.includes('"live"')));

    expect(heard).toEqual([`${linkTopic} {"link":"up"}`, `${signalTopic} ${waterflow('live')}`]);
  });

  it('answers each filter of an UNSUBSCRIBE and stops delivering', async () => {
    const { port, ingest } = await open();
    const reader = await client(port, { protocolVersion: version });
    const heard: string[] = [];
    reader.on('message', (topic) => heard.push(topic));
    await reader.subscribeAsync(['a/1', 'a/2', 'b']);

    await reader.unsubscribeAsync(['a/1', 'a/2']);
    for (const topic of ['a/1', 'a/2', 'b']) await ingest.publish({ topic, payload: 'x' });
    await until('the last came', () => heard.includes('b'));

    expect(heard).toEqual(['b']);
  });

  it('ends a connection that sends more than the largest packet, and goes on with the others', async () => {
    const { port, notices, journal } = await open({ limits: { packet_bytes: 128 * 1024 } });
    const panel = raw(port, version);
    panel.connect();
    await panel.wait('connack');

    panel.send(publishPacket(1, signalTopic, Buffer.alloc(200_000)));
    await until('it is cut off', () => panel.closed);
    const other = await client(port);
    await other.publishAsync(signalTopic, waterflow('other'), { qos: 1 });

    expect(panel.ids('puback')).toEqual([]);
    expect(notices.map(({ type }) => type)).toContain('packet-too-large');
    expect(await signalIds(journal)).toEqual(['other']);
  });

  it('reads a fast publisher more slowly and drops nothing', async () => {
    const { port, notices, journal } = await open({ limits: { publishes_s: 200, publishBurst: 20 } });
    const panel = await client(port, { protocolVersion: version });

    const ids = Array.from({ length: 100 }, (_, index) => `r${String(index)}`);
    await Promise.all(ids.map((id) => panel.publishAsync(signalTopic, waterflow(id), { qos: 1 })));

    expect(await signalIds(journal)).toEqual(ids);
    expect(notices.map(({ type }) => type)).toContain('throttled');
  });
});

describe('the embedded door', () => {
  it('tells an MQTT 5 publisher why its message is in quarantine', async () => {
    const { journal, port } = await open();
    const panel = raw(port, 5);
    panel.connect();
    await panel.wait('connack');

    const topics = [signalTopic, `${defaultPrefix}/quayside-cold-store/deluge-1/signals`, 'elsewhere'];
    for (const [index, topic] of topics.entries()) panel.send(publishPacket(index + 1, topic, 'rubbish'));
    panel.send(publishPacket(4, signalTopic, waterflow('after')));
    await until('all are answered', () => panel.ids('puback').length === 4);

    const reasons = panel.received.flatMap((packet) => (packet.cmd === 'puback' ? [packet.reasonCode] : []));
    expect(reasons).toEqual([
      reasonCode.payloadFormatInvalid,
      reasonCode.topicNameInvalid,
      reasonCode.topicNameInvalid,
      reasonCode.success,
    ]);
    const rejected = await recorded(journal, 'signal-rejected');
    expect(rejected.map(({ stream, data }) => [stream, data['reason']])).toEqual([
      ['quarantine/quayside-cold-store/deluge-1', 'not-json'],
      ['quarantine/unclaimed', 'foreign-topic'],
      ['quarantine/unclaimed', 'foreign-topic'],
    ]);
  });

  it('says in CONNACK what it does not offer, and names a client that came without a name', async () => {
    const { port } = await open();
    const panel = raw(port, 5);
    panel.connect({ clientId: '', properties: { sessionExpiryInterval: 100 } });

    const { reasonCode: answer, properties } = await panel.wait('connack');

    expect(answer).toBe(0);
    expect(properties).toMatchObject({
      sessionExpiryInterval: 0,
      receiveMaximum: 1_000,
      maximumPacketSize: 2 * 1024 * 1024,
      sharedSubscriptionAvailable: false,
      subscriptionIdentifiersAvailable: false,
    });
    expect(properties?.assignedClientIdentifier).toMatch(/^assigned-/);
  });

  it('publishes the will of an MQTT 5 client that asks for it on leaving', async () => {
    const { port, journal } = await open();
    const panel = raw(port, 5);
    panel.connect({ will: { topic: linkTopic, payload: Buffer.from('{"link":"down"}'), qos: 1, retain: true } });
    await panel.wait('connack');

    panel.send({ cmd: 'disconnect', reasonCode: 0x04 });

    await until('the will is recorded', async () => (await recorded(journal, 'link-reported')).length === 1);
  });

  it('reads a Contact ID message by the content type of MQTT 5, and by its layout without one', async () => {
    const { port, journal } = await open();
    const panel = await client(port, { protocolVersion: 5 });
    const properties = { contentType: 'application/vnd.contact-id' };

    await panel.publishAsync(signalTopic, '1234 18 1113 01 003 1', { qos: 1, properties });
    await panel.publishAsync(signalTopic, '1234 18 3113 01 003 E', { qos: 1 });

    const [first, second] = await recorded(journal, 'signal-received');
    expect(first?.data['content']).toEqual({ kind: 'contact', name: 'waterflow', state: 'active' });
    expect(second?.data['content']).toEqual({ kind: 'contact', name: 'waterflow', state: 'restored' });
  });

  it('does not take the wills of panels whose connection the station itself ends', async () => {
    const { port, journal, ingest } = await open();
    const panel = raw(port, 4);
    panel.connect({ will: { topic: linkTopic, payload: Buffer.from('{"link":"down"}'), qos: 1, retain: true } });
    await panel.wait('connack');

    await ingest.close();
    await until('it is cut off', () => panel.closed);

    expect(await recorded(journal)).toEqual([]);
  });

  it('says what to do when its port is in use', async () => {
    const mosquitto = await startMosquitto();
    closing.push(() => mosquitto.dispose());

    await expect(open({ port: mosquitto.port })).rejects.toMatchObject({
      code: 'port-in-use',
      message: `The broker cannot listen: port ${String(mosquitto.port)} on 127.0.0.1 is in use, perhaps by another broker or station. Stop that one, or choose another port.`,
    });
  });

  it('does not listen beyond this machine without credentials', async () => {
    await expect(open({ host: '0.0.0.0' })).rejects.toMatchObject({ code: 'open-beyond-loopback' });
  });
});
