import { execFileSync } from 'node:child_process';
import { chmod, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { hashPassword, Ingest } from '@tidemark/ingest';
import { MemoryJournal } from '@tidemark/journal';
import { instant, seededRandom } from '@tidemark/kernel';
import { AcknowledgedSource, MqttSink } from '@tidemark/mqtt';
import type { BrokerAddress, SourceHealth } from '@tidemark/mqtt';
import { defaultPrefix } from '@tidemark/signals';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { installed, riser, signalIds, signalTopic, systemClock, waterflow } from '../support/ingest-fixtures.ts';
import { findProgram, startMosquitto } from '../support/mosquitto.ts';
import type { Mosquitto } from '../support/mosquitto.ts';
import { testCertificate } from '../support/test-certificate.ts';
import { until } from '../support/until.ts';

let folder: string;
let mosquitto: Mosquitto;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'tidemark-secure-'));
  const file = (name: string): string => join(folder, name);
  await writeFile(file('cert.pem'), testCertificate.cert);
  await writeFile(file('key.pem'), testCertificate.key);
  execFileSync(findProgram('mosquitto_passwd'), ['-b', '-c', file('passwords'), 'station', 'hawser']);
  await chmod(folder, 0o755);
  for (const name of ['cert.pem', 'key.pem', 'passwords']) await chmod(file(name), 0o644);
  mosquitto = await startMosquitto([
    `certfile ${file('cert.pem')}`,
    `keyfile ${file('key.pem')}`,
    'allow_anonymous false',
    `password_file ${file('passwords')}`,
  ]);
});
afterAll(async () => {
  await mosquitto.dispose();
  await rm(folder, { recursive: true });
});

const address = (more: Partial<BrokerAddress>): BrokerAddress => ({
  host: 'localhost',
  port: mosquitto.port,
  tls: { ca: testCertificate.cert },
  username: 'station',
  password: 'hawser',
  ...more,
});

/** The first state other than connecting. */
async function outcome(broker: BrokerAddress): Promise<SourceHealth> {
  const source = new AcknowledgedSource({
    broker,
    clientId: 'secure',
    filters: ['t'],
    now: () => instant(0),
    random: seededRandom(1),
  });
  const health = await until('it is live or down', () => source.health.state !== 'connecting' && source.health);
  source.close();
  return health;
}

describe('a broker with TLS and passwords', () => {
  it('lets the source in, and the sink', async () => {
    const sink = new MqttSink({ broker: address({}), clientId: 'sink', random: seededRandom(1) });

    expect(await outcome(address({}))).toMatchObject({ state: 'live' });
    expect(await sink.publish({ topic: 't', payload: 'x' })).toEqual({ ok: true, value: undefined });
    await sink.close();
  });

  it('is left when its certificate is signed by nobody we trust', async () => {
    expect(await outcome(address({ tls: {} }))).toMatchObject({
      state: 'down',
      lastError: expect.stringMatching(/self-signed certificate/) as string,
    });
  });

  it('refuses a wrong password, which the source says', async () => {
    expect(await outcome(address({ password: 'wrong' }))).toMatchObject({
      state: 'down',
      lastError: 'broker-refused: CONNACK reason 0x87',
    });
  });
});

describe('the embedded broker with TLS', () => {
  it('takes a signal over TLS, and nothing in the clear', async () => {
    const journal = new MemoryJournal();
    const credentials = [{ username: 'panel', passwordHash: await hashPassword('bollard'), ...riser }];
    const ingest = await Ingest.open({
      journal,
      now: systemClock,
      random: seededRandom(1),
      prefix: defaultPrefix,
      installed,
      embedded: { port: 0, tls: testCertificate, credentials },
    });
    const broker = address({ port: ingest.port!, username: 'panel', password: 'bollard' });
    const sink = new MqttSink({ broker, clientId: 'panel', random: seededRandom(1) });
    await sink.publish({ topic: signalTopic, payload: waterflow('a') });
    await sink.close();
    const clear = { host: broker.host, port: broker.port, username: 'panel', password: 'bollard' };

    expect(await signalIds(journal)).toEqual(['a']);
    expect(await outcome(clear)).toMatchObject({ state: 'down' });
    await ingest.close();
  });
});
