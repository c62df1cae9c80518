import type { Ingest } from '@tidemark/ingest';
import type { MqttSink } from '@tidemark/mqtt';
import type { Publisher } from '@tidemark/twin';
import { PublishFault } from '@tidemark/twin';

/** States and findings through the embedded broker. */
export const throughIngest = (ingest: Ingest): Publisher => ({
  publish: async (message) => {
    try {
      await ingest.publish(message);
    } catch (cause) {
      throw new PublishFault(message.topic, 'the embedded broker failed', cause);
    }
  },
});

/** States and findings to a broker elsewhere; what it does not confirm is a fault. */
export const throughSink = (sink: MqttSink): Publisher => ({
  publish: async (message) => {
    const result = await sink.publish(message);
    if (result.ok) return;
    const { failure } = result;
    throw new PublishFault(message.topic, failure.type === 'refused' ? failure.detail : failure.type);
  },
});
