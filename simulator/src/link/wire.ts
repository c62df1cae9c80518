import { formatInstant, instant } from '@tidemark/kernel';
import { cloudEventContentType, defaultPrefix, encodeLink, topicOf } from '@tidemark/signals';
import type { Delivery } from './delivery.ts';
import type { LinkSetup } from './link-setup.ts';

/** A delivery as an MQTT publication (CONTRACT 1). */
export interface Publication {
  readonly topic: string;
  readonly payload: Uint8Array;
  readonly contentType: string;
  readonly retain: boolean;
}

type Sender = Pick<LinkSetup, 'key' | 'panel' | 'begin'>;

/** What a panel, or the broker for it, publishes. */
export function publicationOf(delivery: Delivery, { key }: Sender, prefix: string = defaultPrefix): Publication {
  const topic = topicOf(prefix, key, delivery.topic);
  if (delivery.topic === 'link') return { topic, ...encodeLink(delivery.message), retain: true };
  const payload = new TextEncoder().encode(JSON.stringify(delivery.event));
  return { topic, payload, contentType: cloudEventContentType, retain: false };
}

/** The line of a replay file (CONTRACT 7.1) that says a message arrived, without its line break. */
export function replayLineOf(delivery: Delivery, { begin, key, panel }: Sender): string {
  const receivedtime = formatInstant(instant(begin + 1_000 * delivery.received_s));
  if (delivery.topic === 'signal') return JSON.stringify({ ...delivery.event, receivedtime });
  const { link, session, time } = delivery.message;
  const written = time === undefined ? {} : { time: formatInstant(time) };
  return JSON.stringify({
    specversion: '1.0',
    id: `${session}-${link}`,
    source: `/${key.account}/${panel}`,
    type: 'riser.link.v1',
    subject: key.riser,
    ...written,
    receivedtime,
    data: { link, session, ...written },
  });
}
