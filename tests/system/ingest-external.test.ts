import { Ingest } from '@tidemark/ingest';
import { MemoryJournal } from '@tidemark/journal';
import type { RecordedEvent } from '@tidemark/journal';
import { defaultPrefix, topicOf } from '@tidemark/signals';
import { connectAsync } from 'mqtt';
import type { MqttClient } from 'mqtt';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { HeldJournal } from '../support/held-journal.ts';
import { externalOptions, startIngest } from '../support/ingest-external.ts';
import { linkTopic, recorded, riser, signalIds, signalTopic, waterflow } from '../support/ingest-fixtures.ts';
import { startMosquitto } from '../support/mosquitto.ts';
import type { Mosquitto } from '../support/mosquitto.ts';
import { RawClient } from '../support/raw-client.ts';
import { until } from '../support/until.ts';

let mosquitto: Mosquitto;
let journal: HeldJournal;
const closing: (() => Promise<unknown>)[] = [];

beforeEach(async () => {
  mosquitto = await startMosquitto();
  journal = new HeldJournal(new MemoryJournal());
});
afterEach(async () => {
  for (const close of closing.splice(0).reverse()) await close();
  await mosquitto.dispose();
});

async function ingest(): Promise<Ingest> {
  const started = await startIngest(mosquitto.port, journal);
  closing.push(() => started.close());
  return started;
}

async function publisher(options: object = {}): Promise<MqttClient> {
  const client = await connectAsync(`mqtt://127.0.0.1:${String(mosquitto.port)}`, { reconnectPeriod: 50, ...options });
  closing.push(() => client.endAsync(true));
  return client;
}

const publish = (client: MqttClient, ids: readonly string[]): Promise<unknown> =>
  Promise.all(ids.map((id) => client.publishAsync(signalTopic, waterflow(id), { qos: 1 })));

const numbered = (count: number, name: string): string[] =>
  Array.from({ length: count }, (_, index) => `${name}${String(index)}`);

const linkStates = (events: readonly RecordedEvent[]): unknown[] => events.map(({ data }) => data['link']);

describe('the external door', () => {
  it('acknowledges nothing before the commit: what was not committed is delivered again to the next process', async () => {
    const first = await ingest();
    const panel = await publisher();
    journal.hold();
    await publish(panel, numbered(50, 's'));
    await until('a commit is asked for', () => journal.asked > 0);

    const left = first.close();
    journal.drop();
    await left;
    expect(await signalIds(journal)).toEqual([]);
    const second = new HeldJournal(new MemoryJournal());
    const next = await startIngest(mosquitto.port, second);
    closing.push(() => next.close());

    await until('all came again', async () => (await signalIds(second)).length === 50);
    expect(await signalIds(second)).toEqual(numbered(50, 's'));
  });

  it('acknowledges what is committed: it is not delivered again', async () => {
    const first = await ingest();
    const panel = await publisher();
    await publish(panel, numbered(50, 's'));
    await until('all are recorded', async () => (await signalIds(journal)).length === 50);
    await first.close();

    const second = new HeldJournal(new MemoryJournal());
    const next = await startIngest(mosquitto.port, second);
    closing.push(() => next.close());
    await publish(panel, ['after']);
    await until('the next one came', async () => (await signalIds(second)).length > 0);

    expect(await signalIds(second)).toEqual(['after']);
  });

  it('keeps the order of receipt, riser by riser', async () => {
    await ingest();
    const panel = await publisher();
    const risers = ['deluge-1', 'deluge-2', 'deluge-3'];

    const sent = numbered(300, 'o').map((id, index) => ({ id, name: risers[index % 3]! }));
    await Promise.all(
      sent.map(({ id, name }) =>
        panel.publishAsync(topicOf(defaultPrefix, { ...riser, riser: name }, 'signal'), waterflow(id, name), {
          qos: 1,
        }),
      ),
    );
    await until('all are recorded', async () => (await signalIds(journal)).length === 300);

    const events = await recorded(journal, 'signal-received');
    for (const name of risers) {
      const ids = events.filter(({ stream }) => stream.endsWith(name)).map(({ metadata }) => metadata['signalId']);
      expect(ids).toEqual(sent.filter((each) => each.name === name).map(({ id }) => id));
    }
  });

  it('connects again by itself when the broker restarts, and goes on', async () => {
    const started = await ingest();
    const states: (string | undefined)[] = [];
    started.health.subscribe(({ external }) => states.push(external?.state));
    const panel = await publisher();
    await publish(panel, numbered(20, 'before'));
    await until('they are recorded', async () => (await signalIds(journal)).length === 20);

    await mosquitto.stop();
    await until('ingest says that the broker is away', () => states.includes('down'));
    const during = publish(panel, numbered(20, 'during'));
    await mosquitto.start();
    await during;
    await publish(panel, numbered(20, 'after'));

    await until('all are recorded', async () => new Set(await signalIds(journal)).size === 60);
    expect(states.at(-1)).toBe('live');
    expect(await signalIds(journal)).toHaveLength(60);
  });

  it('connects again when the broker is killed', async () => {
    await ingest();
    await mosquitto.kill();
    await mosquitto.start();

    const panel = await publisher();
    await until('the next signal is recorded', async () => {
      await publish(panel, ['x']);
      return (await signalIds(journal)).length > 0;
    });

    expect(await signalIds(journal)).toEqual(['x']);
  });

  it('holds the group while the journal is unavailable, and loses and doubles nothing', async () => {
    const started = await ingest();
    const health: string[] = [];
    started.health.subscribe(({ journal: { state } }) => health.push(state));
    const panel = await publisher();

    journal.fail(4);
    await publish(panel, numbered(100, 'f'));
    await until('all are recorded', async () => (await signalIds(journal)).length === 100);

    expect(await signalIds(journal)).toEqual(numbered(100, 'f'));
    expect(await recorded(journal, 'signal-repeated')).toEqual([]);
    expect(health).toContain('refusing');
    expect(health.at(-1)).toBe('recording');
  });

  it('records that a signal came again, once for each time, and folds it once', async () => {
    await ingest();
    const panel = await publisher();

    await publish(panel, ['a']);
    await until('it is recorded', async () => (await signalIds(journal)).length === 1);
    for (let again = 1; again <= 3; again += 1) {
      await publish(panel, ['a']);
      await until('the repeat is recorded', async () => (await recorded(journal, 'signal-repeated')).length === again);
    }

    expect(await signalIds(journal)).toEqual(['a']);
  });

  it('learns the retained link when it comes, and follows the last will', async () => {
    const panel = new RawClient(mosquitto.port, 5);
    const will = { topic: linkTopic, payload: Buffer.from('{"link":"down","session":"s7"}'), qos: 1, retain: true };
    panel.connect({ will, clientId: 'panel' });
    await panel.wait('connack');
    const gateway = await publisher();
    await gateway.publishAsync(linkTopic, '{"link":"up","session":"s7"}', { qos: 1, retain: true });

    await ingest();
    await until('the retained link is recorded', async () => (await recorded(journal, 'link-reported')).length === 1);
    panel.cut();
    await until('the will is recorded', async () => (await recorded(journal, 'link-reported')).length === 2);

    expect(linkStates(await recorded(journal, 'link-reported'))).toEqual(['up', 'down']);
  });

  it('hears of a will that came while it was away', async () => {
    const first = await ingest();
    const panel = new RawClient(mosquitto.port, 5);
    panel.connect({ will: { topic: linkTopic, payload: Buffer.from('{"link":"down"}'), qos: 1, retain: true } });
    await panel.wait('connack');
    await first.close();

    panel.cut();
    await ingest();

    await until('the will is recorded', async () => (await recorded(journal, 'link-reported')).length === 1);
    expect(linkStates(await recorded(journal, 'link-reported'))).toEqual(['down']);
  });

  it('publishes state for others to find', async () => {
    const started = await ingest();
    const topic = topicOf(defaultPrefix, riser, 'state');
    await started.publish({ topic, payload: '{"phase":"in-service"}', retain: true });

    const reader = await publisher();
    const heard: string[] = [];
    reader.on('message', (_topic, payload) => heard.push(payload.toString()));
    await reader.subscribeAsync(topic);

    await until('it is found', () => heard.length > 0);
    expect(heard).toEqual(['{"phase":"in-service"}']);
  });
});

describe('a station whose broker is not there', () => {
  it('starts all the same, says so, and connects when it comes', async () => {
    await mosquitto.stop();
    const started = await Ingest.open(externalOptions(mosquitto.port, journal));
    closing.push(() => started.close());
    const seen: (string | undefined)[] = [];
    started.health.subscribe(({ external }) =>
      seen.push(external?.state === 'down' ? external.lastError : external?.state),
    );

    await until('it says why', () => seen.some((text) => text?.startsWith('broker-unreachable')));
    await mosquitto.start();
    await until('it is live', () => seen.at(-1) === 'live');

    expect(seen[0]).toBe('connecting');
  });
});
