import { seededRandom } from '@tidemark/kernel';
import { MqttSink } from '@tidemark/mqtt';
import type { SinkOptions } from '@tidemark/mqtt';
import { afterEach, describe, expect, it } from 'vitest';
import { ScriptedBroker, welcome } from '../support/scripted-broker.ts';
import type { Script, Visit } from '../support/scripted-broker.ts';
import { until } from '../support/until.ts';

const closing: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const close of closing.splice(0).reverse()) await close();
});

async function open(
  script: Script,
  options: Partial<SinkOptions> = {},
): Promise<{ sink: MqttSink; broker: ScriptedBroker }> {
  const broker = await ScriptedBroker.open(script);
  closing.push(() => broker.close());
  const sink = new MqttSink({
    broker: { host: '127.0.0.1', port: broker.port },
    clientId: 'sink',
    random: seededRandom(7),
    backoff: { first_ms: 10, longest_ms: 40 },
    ...options,
  });
  return { sink, broker };
}

const acknowledgeAll = (visit: Visit, from: number): void => {
  for (const messageId of visit.ids('publish').slice(from))
    visit.send({ cmd: 'puback', messageId: messageId!, reasonCode: 0 });
};

describe('a sink', () => {
  it('publishes with QoS 1, retained when asked, and resolves when the broker has it', async () => {
    const { sink, broker } = await open((packet, visit) => {
      if (packet.cmd === 'publish') visit.send({ cmd: 'puback', messageId: packet.messageId!, reasonCode: 0 });
      else welcome(packet, visit);
    });

    expect(await sink.publish({ topic: 't', payload: 'x', retain: true, contentType: 'text/plain' })).toEqual({
      ok: true,
      value: undefined,
    });
    await sink.close();

    const sent = broker.visits[0]!.received.find(({ cmd }) => cmd === 'publish');
    expect(sent).toMatchObject({ qos: 1, retain: true, topic: 't', properties: { contentType: 'text/plain' } });
  });

  it.each([
    ['its own limit', undefined, 20],
    ["the broker's receive maximum", 5, 5],
  ])('keeps to %s of messages in flight, in order', async (_whose, receiveMaximum, expected) => {
    const properties = receiveMaximum === undefined ? {} : { properties: { receiveMaximum } };
    const { sink, broker } = await open((packet, visit) => {
      if (packet.cmd === 'connect') visit.send({ cmd: 'connack', reasonCode: 0, sessionPresent: false, ...properties });
      if (packet.cmd === 'pingreq') visit.send({ cmd: 'pingresp' });
    });
    const visit = await broker.visit(0);
    await until('it is connected', () => sink.connected);

    const published = Promise.all(
      Array.from({ length: 50 }, (_, index) => sink.publish({ topic: 't', payload: String(index) })),
    );
    await until('some are in flight', () => visit.ids('publish').length >= expected);
    expect(visit.ids('publish')).toHaveLength(expected);
    for (let done = 0; done < 50;) {
      const sent = visit.ids('publish').length;
      expect(sent - done).toBeLessThanOrEqual(expected);
      acknowledgeAll(visit, done);
      done = sent;
      await until('the next are in flight', () => done >= 50 || visit.ids('publish').length > done);
    }
    expect((await published).every(({ ok }) => ok)).toBe(true);
    await sink.close();

    const payloads = visit.received.flatMap((packet) => (packet.cmd === 'publish' ? [packet.payload.toString()] : []));
    expect(payloads).toEqual(Array.from({ length: 50 }, (_, index) => String(index)));
  });

  it('says what the broker refused', async () => {
    const { sink } = await open((packet, visit) => {
      if (packet.cmd === 'publish') visit.send({ cmd: 'puback', messageId: packet.messageId!, reasonCode: 0x87 });
      else welcome(packet, visit);
    });

    const answer = await sink.publish({ topic: 't', payload: 'x' });
    await sink.close();

    expect(answer).toMatchObject({ ok: false, failure: { type: 'refused', reasonCode: 0x87 } });
  });

  it('gives the broker its will, and tells each connection that is made', async () => {
    let connections = 0;
    const { broker, sink } = await open(welcome, {
      will: { topic: 'link', payload: 'down', retain: true },
      onConnect: () => (connections += 1),
    });
    const first = await broker.visit(0);
    await until('it is connected', () => connections === 1);
    first.socket.destroy();
    await until('it is connected again', () => connections === 2);
    await sink.close();

    expect(first.received[0]).toMatchObject({
      cmd: 'connect',
      will: { topic: 'link', payload: Buffer.from('down'), qos: 1, retain: true },
    });
  });

  it('takes nothing after it is closed', async () => {
    const { sink } = await open(welcome);
    await until('it is connected', () => sink.connected);
    await sink.close();

    expect(await sink.publish({ topic: 't', payload: 'x' })).toEqual({ ok: false, failure: { type: 'sink-closed' } });
  });
});
