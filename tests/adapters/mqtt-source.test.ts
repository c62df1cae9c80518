import { instant, seededRandom } from '@tidemark/kernel';
import { AcknowledgedSource, reasonCode } from '@tidemark/mqtt';
import type { Batch, SourceHealth, SourceOptions } from '@tidemark/mqtt';
import { afterEach, describe, expect, it } from 'vitest';
import { publishPacket } from '../support/raw-client.ts';
import { ScriptedBroker, welcome } from '../support/scripted-broker.ts';
import type { Script, Visit } from '../support/scripted-broker.ts';
import { until } from '../support/until.ts';

const closing: (() => Promise<unknown> | undefined)[] = [];
afterEach(async () => {
  for (const close of closing.splice(0).reverse()) await close();
});

interface Open {
  readonly broker: ScriptedBroker;
  readonly source: AcknowledgedSource;
  readonly batches: AsyncGenerator<Batch, void, undefined>;
  readonly health: SourceHealth[];
}

async function open(script: Script = welcome, options: Partial<SourceOptions> = {}): Promise<Open> {
  const broker = await ScriptedBroker.open(script);
  closing.push(() => broker.close());
  const source = new AcknowledgedSource({
    broker: { host: '127.0.0.1', port: broker.port },
    clientId: 'station',
    filters: ['a/+', 'b'],
    now: () => instant(1_000),
    random: seededRandom(7),
    backoff: { first_ms: 10, longest_ms: 40 },
    ...options,
  });
  closing.push(() => {
    source.close();
    return undefined;
  });
  const health: SourceHealth[] = [];
  source.onHealth((each) => health.push(each));
  return { broker, source, batches: source.batches(), health };
}

async function next(batches: AsyncGenerator<Batch, void, undefined>): Promise<Batch> {
  const { value } = await batches.next();
  if (value === undefined) throw new Error('the source is closed');
  return value;
}

/** As many batches as it takes to hold this many messages. */
async function gather(batches: AsyncGenerator<Batch, void, undefined>, count: number): Promise<Batch[]> {
  const gathered: Batch[] = [];
  while (gathered.reduce((sum, { messages }) => sum + messages.length, 0) < count) gathered.push(await next(batches));
  return gathered;
}

const topics = (gathered: readonly Batch[]): string[] =>
  gathered.flatMap(({ messages }) => messages.map(({ payload }) => Buffer.from(payload).toString()));

const burst = (visit: Visit, from: number, count: number): void =>
  visit.send(...Array.from({ length: count }, (_, index) => publishPacket(from + index, 'b', String(from + index))));

describe('an acknowledged source', () => {
  it('asks for a kept session, the receive maximum and QoS 1, and for retained messages once', async () => {
    const { broker, source } = await open(welcome, { receiveMaximum: 123, sessionExpiry_s: 60, keepalive_s: 17 });
    await until('it is live', () => source.health.state === 'live');

    const [connect, subscribe] = broker.visits[0]!.received;
    expect(connect).toMatchObject({
      protocolVersion: 5,
      clean: false,
      clientId: 'station',
      keepalive: 17,
      properties: { receiveMaximum: 123, sessionExpiryInterval: 60 },
    });
    expect(subscribe).toMatchObject({
      cmd: 'subscribe',
      subscriptions: [
        { topic: 'a/+', qos: 1, rh: 1, rap: false, nl: false },
        { topic: 'b', qos: 1, rh: 1, rap: false, nl: false },
      ],
    });
  });

  it('acknowledges when the reader says so, all of a batch in the order of receipt, with its reasons', async () => {
    const { broker, batches } = await open();
    const visit = await broker.visit(0);
    burst(visit, 1, 5);
    const [batch, ...more] = await gather(batches, 5);
    expect([more, visit.ids('puback')]).toEqual([[], []]);

    const { success, payloadFormatInvalid } = reasonCode;
    batch!.acknowledge([success, success, payloadFormatInvalid, success, success]);

    await until('all are acknowledged', () => visit.ids('puback').length === 5);
    const pubacks = visit.received.flatMap((packet) => (packet.cmd === 'puback' ? [packet] : []));
    expect(pubacks.map(({ messageId, reasonCode: reason = 0 }) => [messageId, reason])).toEqual([
      [1, 0],
      [2, 0],
      [3, 0x99],
      [4, 0],
      [5, 0],
    ]);
  });

  it('never acknowledges over another connection than the message came on', async () => {
    const { broker, batches, source } = await open();
    const first = await broker.visit(0);
    burst(first, 1, 3);
    const [old] = await gather(batches, 3);

    first.socket.destroy();
    const second = await broker.visit(1);
    await until('it is live again', () => source.health.state === 'live');
    old!.acknowledge();
    burst(second, 2, 1);
    const [fresh] = await gather(batches, 1);
    fresh!.acknowledge();

    await until('the new one is acknowledged', () => second.ids('puback').length > 0);
    expect(second.ids('puback')).toEqual([2]);
  });

  it('keeps what it received and had not handed out when the connection broke', async () => {
    const { broker, batches } = await open();
    const first = await broker.visit(0);
    burst(first, 1, 3);
    first.socket.end();
    const second = await broker.visit(1);
    burst(second, 1, 3);

    expect(topics(await gather(batches, 6))).toEqual(['1', '2', '3', '1', '2', '3']);
  });

  it('takes QoS 0 without acknowledging it', async () => {
    const { broker, batches } = await open();
    const visit = await broker.visit(0);
    visit.send({ cmd: 'publish', qos: 0, dup: false, retain: true, topic: 'a/x', payload: 'zero' });
    burst(visit, 9, 1);

    const gathered = await gather(batches, 2);
    for (const batch of gathered) batch.acknowledge();

    await until('the other is acknowledged', () => visit.ids('puback').length > 0);
    expect(visit.ids('puback')).toEqual([9]);
    expect(gathered[0]!.messages[0]).toEqual({
      topic: 'a/x',
      payload: Buffer.from('zero'),
      retained: true,
      omitted_bytes: 0,
      receivedAt: 1_000,
    });
  });

  it('hands on the content type, and the head of a message that is too large', async () => {
    const { broker, batches } = await open(welcome, { largestPacket_bytes: 128 * 1024 });
    const visit = await broker.visit(0);
    const properties = { contentType: 'application/vnd.contact-id' };
    visit.send(publishPacket(1, 'b', Buffer.alloc(500_000, 'x'), { properties }), publishPacket(2, 'b', 'after'));

    const messages = (await gather(batches, 2)).flatMap((batch) => batch.messages);

    const [large, after] = messages;
    expect(large).toMatchObject({ topic: 'b', contentType: 'application/vnd.contact-id' });
    expect(large!.payload.length + large!.omitted_bytes).toBe(500_000);
    expect(large!.payload.length).toBeGreaterThan(128 * 1024 - 100);
    expect(Buffer.from(after!.payload).toString()).toBe('after');
  });

  it('stops reading when nobody takes, however much the broker sends, and loses nothing', async () => {
    const { broker, batches } = await open();
    const visit = await broker.visit(0);
    const large = Buffer.alloc(60_000, 'x');
    const count = 2_000;
    for (let id = 1; id <= count; id += 1) visit.send(publishPacket(id, 'b', large));

    // 120 MB were sent; 32 MiB and what the sockets hold may have gone out.
    await until('the connection is full', async () => {
      const before = visit.socket.bytesWritten;
      await new Promise((resolve) => setTimeout(resolve, 200));
      return visit.socket.bytesWritten > 30e6 && visit.socket.bytesWritten === before;
    });
    expect(visit.socket.writableLength).toBeGreaterThan(60e6);

    const gathered = await gather(batches, count);
    for (const batch of gathered) batch.acknowledge();
    await until('all are acknowledged', () => visit.ids('puback').length === count);
  });

  it.each([
    [
      'refuses it',
      { cmd: 'connack', reasonCode: 0x87, sessionPresent: false } as const,
      'broker-refused: CONNACK reason 0x87',
    ],
    ['leaves', { cmd: 'disconnect', reasonCode: 0x8b } as const, 'connection-lost: the broker left with reason 0x8b'],
  ])('is down, says why and tries again when the broker %s', async (_what, answer, lastError) => {
    const { broker, health } = await open((packet, visit) => {
      if (packet.cmd === 'connect') visit.send(answer);
    });

    await broker.visit(2);

    expect(health[0]).toEqual({ state: 'down', since: 1_000, lastError, attempts: 1 });
    expect(health[1]).toEqual({ state: 'down', since: 1_000, lastError, attempts: 2 });
  });

  it('is down when a filter is refused, or granted with QoS 0, which would not be acknowledged', async () => {
    const { health, broker } = await open((packet, visit) => {
      if (packet.cmd === 'subscribe') visit.send({ cmd: 'suback', messageId: packet.messageId!, granted: [1, 0] });
      else welcome(packet, visit);
    });

    await broker.visit(1);

    expect(health[0]).toMatchObject({ state: 'down', lastError: 'subscription-refused: SUBACK reason 0x00' });
  });

  it('gives up a broker that does not answer', async () => {
    const { health, broker } = await open(() => undefined, { answer_ms: 30 });

    await broker.visit(1);

    expect(health[0]).toMatchObject({ state: 'down', lastError: 'broker-silent: no answer within 30 ms' });
  });

  it('waits for the answer to SUBSCRIBE as long as messages come before it', async () => {
    const { source, broker, batches } = await open(
      (packet, visit) => {
        if (packet.cmd === 'connect') visit.send({ cmd: 'connack', reasonCode: 0, sessionPresent: false });
      },
      { answer_ms: 150 },
    );
    const visit = await broker.visit(0);
    await until('it subscribes', () => visit.received.some(({ cmd }) => cmd === 'subscribe'));
    for (let id = 1; id <= 10; id += 1) {
      burst(visit, id, 1);
      await gather(batches, 1);
      await new Promise((resolve) => setTimeout(resolve, 40));
    }
    visit.send({ cmd: 'suback', messageId: 1, granted: [1, 1] });

    await until('it is live', () => source.health.state === 'live');
    expect(broker.visits).toHaveLength(1);
  });

  it('leaves a broker that no longer answers its pings', async () => {
    const { health, broker } = await open(
      (packet, visit) => {
        if (packet.cmd !== 'pingreq') welcome(packet, visit);
      },
      { keepalive_s: 1 },
    );

    await broker.visit(1);

    expect(health.map(({ state }) => state).slice(0, 2)).toEqual(['live', 'down']);
    expect(health[1]).toMatchObject({ lastError: 'broker-silent: no answer to a ping' });
  });

  it('ends the iteration and says goodbye when it is closed', async () => {
    const { source, broker, batches } = await open();
    await until('it is live', () => source.health.state === 'live');
    const end = batches.next();

    source.close();

    expect(await end).toEqual({ done: true, value: undefined });
    await until('it said goodbye', () => broker.visits[0]!.received.some(({ cmd }) => cmd === 'disconnect'));
    expect(source.health).toEqual({ state: 'closed', since: 1_000 });
  });
});
