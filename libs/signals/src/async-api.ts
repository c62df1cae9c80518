import type { JsonObject } from '@tidemark/kernel';
import { cloudEventContentType, contactIdContentType } from './content-form.ts';
import { jsonSchemas } from './json-schemas.ts';
import { channels, defaultPrefix, namePattern } from './topics.ts';
import type { Channel } from './topics.ts';

/** The topics and payloads as an AsyncAPI 3.1.0 document, seen from the station, derived from the schemas that read them. */
export const asyncApiDocument = ({ prefix }: { readonly prefix: string } = { prefix: defaultPrefix }): JsonObject => ({
  asyncapi: '3.1.0',
  info: {
    title: 'Tidemark: signals, state and findings of deluge risers',
    version: '1.0.0',
    description:
      'MQTT 5 (3.1.1 accepted), QoS 1. A publisher writes only below its own account and riser. What is no valid message is kept in quarantine and never stops the messages behind it.',
  },
  defaultContentType: 'application/json',
  channels: Object.fromEntries(channels.map((channel) => [channel, channelOf(channel, prefix)])),
  operations: {
    receiveSignal: operation('receive', 'signal', false),
    receiveLink: operation('receive', 'link', true),
    sendState: operation('send', 'state', true),
    sendFinding: operation('send', 'finding', false),
  },
  components: {
    messages: {
      ...Object.fromEntries(channels.map((channel) => [channel, messageOf(channel)])),
      contactId,
    },
    schemas: payloadSchemas(),
  },
});

const summaries: Readonly<Record<Channel, string>> = {
  signal: 'What a panel or gateway reports, as a CloudEvent in structured JSON mode or as a Contact ID block.',
  link: 'Whether a panel is connected; retained, and its last will.',
  contact: 'A field contact or analogue reading that changed: from the simulator to a panel under test.',
  output: 'A panel output that changed: from a panel under test to the simulator.',
  state: 'The state of a riser; retained.',
  finding: 'A finding raised, updated or cleared.',
};

const contactId: JsonObject = {
  name: 'contactId',
  summary: 'ANSI/SIA DC-05 (Contact ID): sixteen digits, spaces for the eye only.',
  contentType: contactIdContentType,
  payload: { type: 'string', pattern: String.raw`^\s*(?:[0-9A-Fa-f]\s*){16}$`, examples: ['1234 18 1113 01 003 1'] },
};

const name = (description: string): JsonObject => ({
  description: `${description}: 1 to 63 of a-z, 0-9 and "-", not starting with "-" (${namePattern.source})`,
  examples: [description === 'Account' ? 'quayside-cold-store' : 'deluge-1'],
});

const channelOf = (channel: Channel, prefix: string): JsonObject => ({
  address: `${prefix}/{account}/{riser}/${channel}`,
  summary: summaries[channel],
  parameters: { account: name('Account'), riser: name('Riser') },
  messages: {
    [channel]: { $ref: `#/components/messages/${channel}` },
    ...(channel === 'signal' ? { contactId: { $ref: '#/components/messages/contactId' } } : {}),
  },
});

const operation = (action: 'send' | 'receive', channel: Channel, isRetained: boolean): JsonObject => ({
  action,
  channel: { $ref: `#/channels/${channel}` },
  summary: summaries[channel],
  bindings: { mqtt: { qos: 1, retain: isRetained, bindingVersion: '0.2.0' } },
});

/** The contract's example of a signal (CONTRACT 2), and what else a person writes by hand. */
const examples: Readonly<Partial<Record<Channel, JsonObject>>> = {
  signal: {
    specversion: '1.0',
    id: '7f0c',
    source: '/quayside-cold-store/panel-2',
    type: 'riser.signal.v1',
    subject: 'deluge-1',
    time: '2026-03-02T08:14:07.120Z',
    sequence: '0000001842',
    data: { signal: 'waterflow', state: 'active', point: 3, text: 'optional, at most 200 characters' },
  },
  link: { link: 'up', session: '2026-03-02/1', time: '2026-03-02T08:00:00Z' },
  contact: { signal: 'waterflow', state: 'active', point: 3 },
  output: { signal: 'solenoid', state: 'active' },
};

const messageOf = (channel: Channel): JsonObject => ({
  name: channel,
  summary: summaries[channel],
  contentType: channel === 'signal' ? cloudEventContentType : 'application/json',
  payload: { $ref: `#/components/schemas/${channel}` },
  ...(examples[channel] === undefined ? {} : { examples: [{ payload: examples[channel] }] }),
});

/** The dialect is AsyncAPI's own, so the mark of JSON Schema goes. */
function payloadSchemas(): JsonObject {
  const all = jsonSchemas();
  const withoutDialect = (channel: Channel): JsonObject =>
    Object.fromEntries(Object.entries(all[channel]).filter(([key]) => key !== '$schema'));
  return Object.fromEntries(channels.map((channel) => [channel, withoutDialect(channel)]));
}
