import { hashPassword, Ingest } from '@tidemark/ingest';
import type { BrokerNotice, Credential } from '@tidemark/ingest';
import { MemoryJournal } from '@tidemark/journal';
import { seededRandom } from '@tidemark/kernel';
import { defaultPrefix, topicOf } from '@tidemark/signals';
import { connectAsync } from 'mqtt';
import type { MqttClient } from 'mqtt';
import { afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { installed, riser, signalIds, signalTopic, systemClock, waterflow } from '../support/ingest-fixtures.ts';
import { publishPacket, RawClient } from '../support/raw-client.ts';
import { until } from '../support/until.ts';

let credentials: readonly Credential[];
let journal: MemoryJournal;
let ingest: Ingest;
const notices: BrokerNotice[] = [];
const clients: MqttClient[] = [];

beforeAll(async () => {
  credentials = [
    { username: 'dock-panel', passwordHash: await hashPassword('bollard'), ...riser },
    { username: 'quay-gateway', passwordHash: await hashPassword('hawser'), account: riser.account },
  ];
});
beforeEach(async () => {
  journal = new MemoryJournal();
  ingest = await Ingest.open({
    journal,
    now: systemClock,
    random: seededRandom(1),
    prefix: defaultPrefix,
    installed,
    embedded: { port: 0, credentials },
  });
  ingest.notices?.subscribe((notice) => notices.push(notice));
});
afterEach(async () => {
  await Promise.all(clients.splice(0).map((each) => each.endAsync(true)));
  await ingest.close();
  notices.length = 0;
});

async function enter(username: string, password: string, options: object = {}): Promise<MqttClient> {
  const url = `mqtt://127.0.0.1:${String(ingest.port)}`;
  const client = await connectAsync(url, { username, password, reconnectPeriod: 0, protocolVersion: 5, ...options });
  clients.push(client);
  return client;
}

describe('a broker with credentials', () => {
  it.each([
    ['a wrong password', 'dock-panel', 'bollards'],
    ['a name that does not exist', 'dock', 'bollard'],
  ])('refuses %s', async (_case, username, password) => {
    await expect(enter(username, password)).rejects.toMatchObject({ code: 0x87 });

    expect(notices.map(({ type }) => type)).toContain('bad-credentials');
  });

  it('refuses a client without a name', async () => {
    const client = new RawClient(ingest.port!, 4);
    client.connect();

    const { returnCode } = await client.wait('connack');

    // MQTT 3.1.1, table 3.1: connection refused, not authorized.
    expect(returnCode).toBe(5);
  });

  it('lets a client publish below its own riser and nowhere else', async () => {
    const panel = await enter('dock-panel', 'bollard');
    await panel.publishAsync(signalTopic, waterflow('own'), { qos: 1 });

    const others = [
      topicOf(defaultPrefix, { account: riser.account, riser: 'deluge-2' }, 'signal'),
      topicOf(defaultPrefix, { account: 'another-account', riser: riser.riser }, 'signal'),
      topicOf(defaultPrefix, riser, 'state'),
      topicOf(defaultPrefix, riser, 'finding'),
      'elsewhere',
      '$SYS/broker',
    ];
    for (const topic of others)
      await expect(panel.publishAsync(topic, waterflow('foreign'), { qos: 1 })).rejects.toMatchObject({ code: 0x87 });
    await panel.publishAsync(signalTopic, waterflow('after'), { qos: 1 });

    expect(await signalIds(journal)).toEqual(['own', 'after']);
    expect(notices.filter(({ type }) => type === 'publish-refused').map(({ detail }) => detail)).toEqual(others);
  });

  it('delivers a refused message to nobody', async () => {
    const gateway = await enter('quay-gateway', 'hawser', { clientId: 'reader' });
    const heard: string[] = [];
    gateway.on('message', (topic) => heard.push(topic));
    await gateway.subscribeAsync(`${defaultPrefix}/${riser.account}/#`);
    const panel = await enter('dock-panel', 'bollard');

    await panel.publishAsync(topicOf(defaultPrefix, riser, 'state'), 'forged', { qos: 1 }).catch(() => undefined);
    await panel.publishAsync(signalTopic, waterflow('a'), { qos: 1 });
    await until('the signal came', () => heard.includes(signalTopic));

    expect(heard).toEqual([signalTopic]);
  });

  it('closes the connection of an MQTT 3.1.1 client that publishes where it may not', async () => {
    const panel = new RawClient(ingest.port!, 4);
    panel.connect({ username: 'dock-panel', password: Buffer.from('bollard') });
    await panel.wait('connack');

    panel.send(publishPacket(1, topicOf(defaultPrefix, riser, 'state'), 'forged'));
    await until('it is cut off', () => panel.closed);

    expect(panel.ids('puback')).toEqual([]);
  });

  it.each([
    ['its own riser', 'dock-panel', 'bollard', `${defaultPrefix}/quayside-cold-store/deluge-1/+`, true],
    ['another riser', 'dock-panel', 'bollard', `${defaultPrefix}/quayside-cold-store/deluge-2/state`, false],
    ['all risers of its account', 'dock-panel', 'bollard', `${defaultPrefix}/quayside-cold-store/+/state`, false],
    ['all risers of its account', 'quay-gateway', 'hawser', `${defaultPrefix}/quayside-cold-store/+/state`, true],
    ['all accounts', 'quay-gateway', 'hawser', `${defaultPrefix}/+/deluge-1/state`, false],
    ['everything', 'quay-gateway', 'hawser', '#', false],
    ['the broker itself', 'quay-gateway', 'hawser', '$SYS/#', false],
    ['a shared subscription', 'quay-gateway', 'hawser', `$share/x/${defaultPrefix}/#`, false],
  ])('rules on reading %s as %s', async (_what, username, password, filter, granted) => {
    const client = await enter(username, password);

    const answer = client.subscribeAsync(filter, { qos: 1 });

    if (granted) await expect(answer).resolves.toMatchObject([{ qos: 1 }]);
    else await expect(answer).rejects.toMatchObject({ packet: { granted: [0x87] } });
  });

  it('lets nobody take over the session of another user by its client id', async () => {
    const panel = await enter('dock-panel', 'bollard', { clientId: 'panel-2' });
    const gateway = await enter('quay-gateway', 'hawser', { clientId: 'panel-2' });

    await gateway.publishAsync(signalTopic, waterflow('gateway'), { qos: 1 });
    await panel.publishAsync(signalTopic, waterflow('panel'), { qos: 1 });

    expect(await signalIds(journal)).toEqual(['gateway', 'panel']);
  });
});
