import { copyFile, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { deriveEventId } from '@tidemark/journal';
import { formatInstant, instant, invariant, seededRandom } from '@tidemark/kernel';
import type { JsonObject } from '@tidemark/kernel';
import { TestClock } from '@tidemark/runtime';
import { toldLines } from '@tidemark/scenario';
import type { ToldLine } from '@tidemark/scenario';
import { cloudEventContentType, defaultPrefix, topicOf } from '@tidemark/signals';
import { openStation } from '@tidemark/station';
import type { Station } from '@tidemark/station';
import { connectAsync } from 'mqtt';
import type { MqttClient } from 'mqtt';
import { enter, takeOver } from './enter-station.ts';
import type { Story } from './stories.ts';
import { until } from './until.ts';

/** A finding as a client of the broker hears it. */
export interface HeardFinding {
  readonly code: string;
  readonly status: string;
  readonly severity: string;
  readonly at: string;
}

/**
 * Tells a story to the real station over its broker and its API, and gives what a client of the broker heard. Only the
 * clock is the test's: it stands at each line's receipt while the line is sent, so that four hours take a second.
 * After the end a reading from a point that no profile has is sent. Findings are told in order, so once its
 * `unknown-point` is heard, everything before it was heard too, and what is not there is missing.
 */
export async function toldByStation(story: Story): Promise<readonly HeardFinding[]> {
  const { scenario, profile } = story;
  const lines = toldLines(scenario, profile);
  const time = new TestClock(lines[0]?.receivedAt ?? scenario.begin);
  const folder = await mkdtemp(join(tmpdir(), 'tidemark-story-'));
  try {
    await copyFile(riserFileOf(story), join(folder, 'one.riser.yaml'));
    const station = await openStation(configuration(folder), { time, random: seededRandom(1) });
    const heard: HeardFinding[] = [];
    const untilTheEnd = ({ at }: HeardFinding): boolean => Date.parse(at) <= scenario.until;
    try {
      await takeOver(station.first_url ?? '');
      const client = await listen(station, topicOf(defaultPrefix, profile, 'finding'), heard);
      const telling = { story, station, client };
      for (const line of [...lines, afterTheEnd(story)]) {
        time.moveTo(line.receivedAt);
        await say(line, telling);
      }
      // The clock goes on a little, for what the station does by its clock.
      await until('what was sent after the end is heard', () => {
        time.advance(20);
        return heard.some((each) => each.code === 'unknown-point' && !untilTheEnd(each));
      });
      await client.endAsync();
    } finally {
      await station.close();
    }
    return heard.filter(untilTheEnd);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

function afterTheEnd({ scenario, profile }: Story): ToldLine {
  const receivedAt = instant(scenario.until + 1);
  const event = {
    specversion: '1.0',
    id: 'after-the-end',
    source: `/${profile.account}/visitor`,
    type: 'riser.signal.v1',
    subject: profile.riser,
    time: formatInstant(receivedAt),
    data: { signal: 'flow', value: 0, unit: 'gpm', point: 65_535 },
  };
  return { receivedAt, json: event };
}

function riserFileOf({ scenario, name }: Story): string {
  invariant('file' in scenario.riser, `${name} names the file of its riser`);
  return join(fileURLToPath(new URL('../../scenarios', import.meta.url)), scenario.riser.file);
}

const configuration = (folder: string): Parameters<typeof openStation>[0] => ({
  data_folder: join(folder, 'data'),
  http: { host: '127.0.0.1', port: 0, names: [] },
  mqtt: { kind: 'embedded', host: '127.0.0.1', port: 0 },
  prefix: defaultPrefix,
  site: { kind: 'real', profiles_folder: folder, skipWrong: false },
});

async function listen(station: Station, topic: string, heard: HeardFinding[]): Promise<MqttClient> {
  const client = await connectAsync(`mqtt://127.0.0.1:${String(station.mqttPort)}`, { protocolVersion: 5 });
  client.on('message', (_topic, payload) => heard.push(JSON.parse(payload.toString()) as HeardFinding));
  await client.subscribeAsync(topic, { qos: 1 });
  return client;
}

interface Telling {
  readonly story: Story;
  readonly station: Station;
  readonly client: MqttClient;
}

/** Commands go to the API, everything else over the broker, whose answer comes after the commit. */
async function say({ json }: ToldLine, { story, station, client }: Telling): Promise<void> {
  const event = Object.fromEntries(Object.entries(json).filter(([name]) => name !== 'receivedtime'));
  switch (json['type']) {
    case 'riser.command.v1':
      return command(event, { story, station });
    case 'riser.link.v1': {
      const topic = topicOf(defaultPrefix, story.profile, 'link');
      await client.publishAsync(topic, JSON.stringify(json['data']), { qos: 1, retain: true });
      return;
    }
    default: {
      const topic = topicOf(defaultPrefix, story.profile, 'signal');
      const { payload, contentType } = 'topic' in json ? rawOf(json) : cloudEvent(event);
      // A payload that is no signal is kept and answered with a reason code, which the client takes for an error.
      await client.publishAsync(topic, payload, { qos: 1, properties: { contentType } }).catch(() => undefined);
    }
  }
}

const cloudEvent = (event: JsonObject) => ({ payload: JSON.stringify(event), contentType: cloudEventContentType });

function rawOf({ payload, payloadBase64, contentType }: JsonObject) {
  const bytes = typeof payloadBase64 === 'string' ? Buffer.from(payloadBase64, 'base64') : (payload as string);
  return { payload: bytes, contentType: contentType as string };
}

async function command(event: JsonObject, { story, station }: Omit<Telling, 'client'>): Promise<void> {
  const { account, riser } = story.profile;
  const data = event['data'] as JsonObject;
  const command = data['command'] === 'test-begin' ? { expect: [], ...data } : data;
  // The clock of a story leaps over hours, and no session lasts that long.
  const session = await enter(station.console_url);
  const response = await fetch(new URL(`/api/risers/${account}/${riser}/commands`, station.console_url), {
    method: 'POST',
    headers: { 'content-type': 'application/json', ...session },
    body: JSON.stringify({ id: deriveEventId([story.name, event['id'] as string]), command }),
  });
  invariant(response.status === 201, `the command is recorded: ${response.status} ${await response.text()}`);
}
