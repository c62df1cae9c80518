import type { Journal, RecordedEvent } from '@tidemark/journal';
import { streamPrefix } from '@tidemark/journal';
import type { JsonObject, Random } from '@tidemark/kernel';
import { Subscription, untilDone } from '@tidemark/runtime';
import type { Handled, Time } from '@tidemark/runtime';
import { topicOf } from '@tidemark/signals';
import type { PartWatch } from './part-watch.ts';
import type { Publisher } from './publisher.ts';
import { PublishFault } from './publisher.ts';
import { keyOf } from './riser-fold.ts';

/** Up to here the findings were published. */
const checkpoint = 'finding-publisher';

const findings = streamPrefix('finding');

/** What a finding publisher needs. */
export interface FindingPublisherOptions {
  readonly journal: Journal;
  readonly publisher: Publisher;
  readonly prefix: string;
  readonly time: Time;
  readonly random: Random;
  readonly watch: PartWatch;
}

/**
 * Publishes each finding of the journal, in its order, once it is durable. The journal is the outbox: the next process
 * goes on after the last message that a broker confirmed. Only one that died between the confirmation and the note of
 * it sends that message again; its payload says the same, `id`, `status` and `at` included.
 */
export function findingPublisher(options: FindingPublisherOptions): Subscription {
  const { journal, time, random } = options;
  const handle = (event: RecordedEvent, stop: AbortSignal): Handled | Promise<Handled> =>
    event.type.startsWith('finding-') ? publish(event, stop, options) : 'handled';
  return new Subscription({ journal, prefixes: [findings], handle, checkpoint, time, random });
}

async function publish(event: RecordedEvent, stop: AbortSignal, options: FindingPublisherOptions): Promise<Handled> {
  const { publisher, prefix, time, random, watch } = options;
  const message = {
    topic: topicOf(prefix, keyOf(event.stream.slice(findings.length)), 'finding'),
    payload: JSON.stringify({ ...(event.data['finding'] as JsonObject), position: event.position.toString() }),
    retain: false,
    contentType: 'application/json',
  };
  const isPassing = (error: unknown): boolean => error instanceof PublishFault;
  const sent = await untilDone(() => publisher.publish(message), {
    timer: time,
    random,
    stop,
    isPassing,
    onFault: watch.failed,
  });
  if (!sent.ok) return 'stopped';
  watch.succeeded();
  return 'handled';
}
