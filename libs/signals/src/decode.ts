import { fail, ok } from '@tidemark/kernel';
import type { Instant, Result } from '@tidemark/kernel';
import { contentForm } from './content-form.ts';
import { looksLikeContactId } from './contact-id-block.ts';
import { readContactId } from './contact-id.ts';
import type { Installed } from './installed.ts';
import { readJson, readText } from './json-text.ts';
import { readLink } from './read-link.ts';
import type { Link } from './read-link.ts';
import { readSignal } from './read-signal.ts';
import { refusal } from './rejection.ts';
import type { Refusal, Rejection } from './rejection.ts';
import type { RiserKey, Signal } from './signal.ts';
import { parseTopic } from './topics.ts';
import type { TopicFailure } from './topics.ts';

/** A message as it arrived. */
export interface Message {
  readonly topic: string;
  readonly payload: Uint8Array;
  /** The MQTT 5 property; absent under 3.1.1. */
  readonly contentType?: string;
  readonly receivedAt: Instant;
}

/** How to decode. */
export interface DecodeOptions {
  readonly prefix: string;
  /** What is installed at a riser; `undefined` where no profile is. */
  readonly installed: (key: RiserKey) => Installed | undefined;
}

/** A message understood. */
export type Decoded = { readonly type: 'signal'; readonly signal: Signal } | ({ readonly type: 'link' } & Link);

/**
 * Reads one message. Total: whatever the bytes, it answers with a signal, a link message, or why it is neither, and
 * never throws. A valid signal of a point that the profile does not have is a signal; that is a finding, not a refusal.
 */
export function decode(message: Message, options: DecodeOptions): Result<Decoded, Rejection> {
  const topic = parseTopic(message.topic, options.prefix);
  if (!topic.ok) return fail(foreignTopic(topic.failure, options.prefix));
  const { key, channel } = topic.value;
  if (channel !== 'signal' && channel !== 'link')
    return refuse(key, refusal('wrong-channel', `The station does not read the channel "${channel}".`));
  const installed = options.installed(key);
  if (installed === undefined)
    return refuse(
      key,
      refusal('unknown-riser', `No profile is installed for riser "${key.riser}" of account "${key.account}".`),
    );
  const decoded = channel === 'link' ? decodeLink(message, key) : decodeSignal(message, { key, installed });
  return decoded.ok ? decoded : refuse(key, decoded.failure);
}

const refuse = (key: RiserKey, why: Refusal): Result<never, Rejection> => fail({ ...why, key });

function foreignTopic(failure: TopicFailure, prefix: string): Refusal {
  const expected = `expected ${prefix}/{account}/{riser}/signal or …/link`;
  switch (failure) {
    case 'outside-prefix':
      return refusal('foreign-topic', `The topic is outside the prefix; ${expected}.`);
    case 'malformed-name':
      return refusal('foreign-topic', `The topic's account or riser is not 1 to 63 of a-z, 0-9, "-"; ${expected}.`);
    case 'unknown-channel':
      return refusal('foreign-topic', `The topic does not end in a known channel; ${expected}.`);
  }
}

function decodeLink(message: Message, key: RiserKey): Result<Decoded, Refusal> {
  const form = contentForm(message.contentType);
  if (!form.ok) return form;
  if (form.value === 'contact-id')
    return fail(refusal('unsupported-content-type', 'Contact ID has no link message; expected JSON.'));
  const text = readText(message.payload);
  if (!text.ok) return text;
  const json = readJson(text.value);
  if (!json.ok) return json;
  const link = readLink(json.value, key);
  return link.ok ? ok({ type: 'link', ...link.value }) : link;
}

interface Addressee {
  readonly key: RiserKey;
  readonly installed: Installed;
}

function decodeSignal(message: Message, { key, installed }: Addressee): Result<Decoded, Refusal> {
  const form = contentForm(message.contentType);
  if (!form.ok) return form;
  const text = readText(message.payload);
  if (!text.ok) return text;
  const isContactId = form.value === 'contact-id' || (form.value === 'unsaid' && looksLikeContactId(text.value));
  const signal = isContactId
    ? readContactId(text.value, { key, installed, receivedAt: message.receivedAt })
    : readCloudEvent(text.value, key);
  return signal.ok ? ok({ type: 'signal', signal: signal.value }) : signal;
}

function readCloudEvent(text: string, key: RiserKey): Result<Signal, Refusal> {
  const json = readJson(text);
  return json.ok ? readSignal(json.value, key) : json;
}
