import type { Instant, Json, JsonObject } from '@tidemark/kernel';
import { formatInstant, instant, parseInstant } from '@tidemark/kernel';
import type { OutgoingMessage } from '@tidemark/mqtt';
import type { RiserKey } from '@tidemark/signals';
import { cloudEventContentType, parseTopic, topicOf } from '@tidemark/signals';

/** How a recorded log becomes live: where its time begins anew, how much faster it runs, and what marks this run. */
export interface Playing {
  readonly prefix: string;
  /** The receipt of the first line, and the moment at which it is sent. */
  readonly recordedFrom: Instant;
  readonly sentFrom: Instant;
  readonly speed: number;
  /** Added to ids and sessions, so that a station does not take the run for one it has heard; none keeps them. */
  readonly run: string | undefined;
}

/** A line as a message to send, or why it cannot be sent. */
export type Played =
  | { readonly type: 'message'; readonly message: OutgoingMessage }
  | { readonly type: 'skipped'; readonly why: 'command' | 'unreadable' };

/** The moment of this run at which something of the recording happens: intervals are divided by the speed. */
export const playedAt = (recorded: Instant, { recordedFrom, sentFrom, speed }: Playing): Instant =>
  instant(sentFrom + (recorded - recordedFrom) / speed);

/** Makes a line of a log into the message that a panel would send now. */
export function playedMessage(line: string, playing: Playing): Played {
  const object = asObject(line);
  if (object === undefined) return { type: 'skipped', why: 'unreadable' };
  if (typeof object['topic'] === 'string') return playedRecording(object['topic'], object, playing);
  switch (object['type']) {
    // Commands reach a station through its API, never over MQTT (CONTRACT 1).
    case 'riser.command.v1':
      return { type: 'skipped', why: 'command' };
    case 'riser.link.v1':
      return playedLink(object, playing);
    default:
      return playedSignal(object, playing);
  }
}

function playedRecording(topic: string, recording: JsonObject, playing: Playing): Played {
  const { contentType, payload, payloadBase64 } = recording;
  const type = typeof contentType === 'string' ? { contentType } : {};
  const link = parseTopic(topic, playing.prefix);
  const retain = link.ok && link.value.channel === 'link' ? { retain: true } : {};
  const send = (sent: string | Uint8Array): Played => ({
    type: 'message',
    message: { topic, payload: sent, ...type, ...retain },
  });
  if (typeof payloadBase64 === 'string') return send(Buffer.from(payloadBase64, 'base64'));
  const text = typeof payload === 'string' ? payload : JSON.stringify(payload ?? '');
  const object = asObject(text);
  // What is no JSON object, such as Contact ID, has neither a time nor an identity to renew.
  return send(object === undefined ? text : JSON.stringify(renewed(object, playing)));
}

function playedSignal(event: JsonObject, playing: Playing): Played {
  const key = addressee(event);
  if (key === undefined) return { type: 'skipped', why: 'unreadable' };
  const { receivedtime, ...sent } = event;
  const timed = sent['time'] === undefined && receivedtime !== undefined ? { ...sent, time: receivedtime } : sent;
  const payload = JSON.stringify(renewed(timed, playing));
  const topic = topicOf(playing.prefix, key, 'signal');
  return { type: 'message', message: { topic, payload, contentType: cloudEventContentType } };
}

function playedLink(event: JsonObject, playing: Playing): Played {
  const key = addressee(event);
  const data = event['data'];
  if (key === undefined || !isObject(data)) return { type: 'skipped', why: 'unreadable' };
  const topic = topicOf(playing.prefix, key, 'link');
  return { type: 'message', message: { topic, payload: JSON.stringify(renewed(data, playing)), retain: true } };
}

/** The riser an event is for: the first segment of its source, and its subject. */
function addressee({ source, subject }: JsonObject): RiserKey | undefined {
  const account = typeof source === 'string' ? source.replace(/^\//, '').split('/')[0] : undefined;
  if (account === undefined || typeof subject !== 'string') return undefined;
  const topic = parseTopic(topicOf('x', { account, riser: subject }, 'signal'), 'x');
  return topic.ok ? topic.value.key : undefined;
}

/** The same with the times of this run and, unless they are kept, ids and sessions of its own. */
function renewed(object: JsonObject, playing: Playing): JsonObject {
  const { id, session, time } = object;
  const at = typeof time === 'string' ? parseInstant(time) : undefined;
  const own = (text: Json | undefined): string | undefined =>
    playing.run !== undefined && typeof text === 'string' ? `${text}~${playing.run}` : undefined;
  const [newId, newSession] = [own(id), own(session)];
  return {
    ...object,
    ...(newId === undefined ? {} : { id: newId }),
    ...(newSession === undefined ? {} : { session: newSession }),
    ...(at?.ok === true ? { time: formatInstant(playedAt(at.value, playing)) } : {}),
  };
}

function asObject(text: string): JsonObject | undefined {
  try {
    const value = JSON.parse(text) as Json;
    return isObject(value) ? value : undefined;
  } catch {
    return undefined;
  }
}

const isObject = (value: Json | undefined): value is JsonObject =>
  typeof value === 'object' && value !== null && !Array.isArray(value);
