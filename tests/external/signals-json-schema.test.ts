import { instant } from '@tidemark/kernel';
import {
  asyncApiDocument,
  contactPayload,
  decode,
  encodeSignal,
  findingPayload,
  jsonSchemas,
  outputPayload,
} from '@tidemark/signals';
import type { SchemaName } from '@tidemark/signals';
import Ajv from 'ajv';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { anySignal, key } from '../../libs/signals/test/signal-arbitrary.ts';

/** An independent validator of JSON Schema draft-07. `base64` is a name of ours to it and only an annotation. */
const ajv = new Ajv({ format: 'full', unknownFormats: ['base64'] });
const schemas = jsonSchemas();
const signalByJsonSchema = ajv.compile(schemas.signal);
const linkByJsonSchema = ajv.compile(schemas.link);

const decoded = (channel: 'signal' | 'link', text: string) =>
  decode(
    {
      topic: `risers/v1/${key.account}/${key.riser}/${channel}`,
      payload: new TextEncoder().encode(text),
      contentType: channel === 'signal' ? 'application/cloudevents+json' : 'application/json',
      receivedAt: instant(0),
    },
    { prefix: 'risers/v1', installed: () => ({ points: [] }) },
  );

/** What agreement leaves out: the topic has its own say in whose signal it is. */
const byTopic = ['wrong-account', 'wrong-riser'];

const acceptedByDecode = (channel: 'signal' | 'link', text: string): boolean => {
  const result = decoded(channel, text);
  return result.ok || byTopic.includes(result.failure.reason);
};

/** What a member may be spoilt with: the wrong type, the neighbours of a limit, another kind's word. */
const junk = fc.oneof(
  fc.constantFrom<unknown>(null, '', true, -1, 0, 1.5, 65_535, 65_536, 2_147_483_648, [], {}, ' ', '\n', '\u0085'),
  fc.constantFrom<unknown>('active', 'restored', 'performed', 'reset', 'flow', 'waterflow', 'psi', 'gpm', '1.0', 'up'),
  fc.constantFrom<unknown>('2026-03-02T08:14:07Z', '2026-02-29T00:00:00Z', 'yesterday', '007', 'x'.repeat(201)),
  fc.constantFrom<unknown>('\u{1f525}'.repeat(200), '\u{1f525}'.repeat(201), 'x'.repeat(1_025), 1e9, 1e9 + 1, '/a b'),
  fc.string({ unit: 'binary', maxLength: 8 }),
);
const attribute = fc.constantFrom(
  'specversion',
  'id',
  'source',
  'type',
  'subject',
  'time',
  'datacontenttype',
  'dataschema',
  'sequence',
  'receivedtime',
  'traceparent',
  'Upper',
  'with-dash',
  'data',
);
const member = fc.constantFrom('signal', 'state', 'point', 'text', 'value', 'unit', 'zone');

interface Spoiling {
  readonly inData: boolean;
  readonly name: string;
  readonly value: unknown;
}
const spoiling: fc.Arbitrary<Spoiling> = fc.oneof(
  fc.record({ inData: fc.constant(false), name: attribute, value: fc.option(junk, { nil: undefined }) }),
  fc.record({ inData: fc.constant(true), name: member, value: fc.option(junk, { nil: undefined }) }),
);

/** A signal with up to two members replaced, added or taken away. */
const nearlySignal = fc.tuple(anySignal, fc.array(spoiling, { maxLength: 2 })).map(([signal, spoilings]) => {
  const event = JSON.parse(new TextDecoder().decode(encodeSignal(signal).payload)) as Record<string, unknown>;
  for (const { inData, name, value } of spoilings) {
    const target = inData ? (event['data'] as Record<string, unknown> | null | undefined) : event;
    if (typeof target === 'object' && target !== null) target[name] = value;
  }
  return JSON.stringify(event);
});

describe('the JSON Schema of a signal', () => {
  it('accepts and refuses what decoding does', () => {
    const seen = { accepted: 0, refused: 0 };
    fc.assert(
      fc.property(nearlySignal, (text) => {
        const accepted = signalByJsonSchema(JSON.parse(text)) === true;
        seen[accepted ? 'accepted' : 'refused'] += 1;

        expect(accepted).toBe(acceptedByDecode('signal', text));
      }),
      { seed: 6, numRuns: 4_000 },
    );

    expect(Math.min(seen.accepted, seen.refused)).toBeGreaterThan(500);
  });
});

describe('the JSON Schema of a link message', () => {
  it('accepts and refuses what decoding does', () => {
    const nearlyLink = fc.record(
      { link: fc.oneof(fc.constantFrom('up', 'down'), junk), session: junk, time: junk, more: junk },
      { requiredKeys: [] },
    );

    fc.assert(
      fc.property(nearlyLink, (link) => {
        const text = JSON.stringify(link);
        expect(linkByJsonSchema(JSON.parse(text)) === true).toBe(acceptedByDecode('link', text));
      }),
      { seed: 7, numRuns: 2_000 },
    );
  });
});

describe('the JSON Schemas of contact and output', () => {
  it.each([
    ['contact', contactPayload],
    ['output', outputPayload],
  ] as const)('of %s accepts and refuses what its reader does', (name, reader) => {
    const validate = ajv.compile(schemas[name]);
    const nearly = fc.record(
      {
        signal: fc.constantFrom('waterflow', 'solenoid', 'flow', 'prime-pressure', 'panel-alarm', 'x'),
        state: fc.oneof(fc.constantFrom('active', 'restored'), junk),
        value: fc.oneof(fc.double({ noNaN: true, noDefaultInfinity: true }), junk),
        unit: fc.constantFrom('psi', 'gpm'),
        point: junk,
        time: junk,
      },
      { requiredKeys: ['signal'] },
    );

    fc.assert(
      fc.property(nearly, (payload) => {
        const value: unknown = JSON.parse(JSON.stringify(payload));
        expect(validate(value) === true).toBe(reader.safeParse(value).success);
      }),
      { seed: 8, numRuns: 2_000 },
    );
  });
});

describe('the examples of the AsyncAPI document', () => {
  const { messages } = asyncApiDocument()['components'] as {
    readonly messages: Readonly<Record<SchemaName, { readonly examples?: readonly { readonly payload: unknown }[] }>>;
  };

  it.each(['signal', 'link', 'contact', 'output'] as const)('fit the schema of %s', (name) => {
    const payloads = (messages[name].examples ?? []).map(({ payload }) => payload);

    expect(payloads).toHaveLength(1);
    for (const payload of payloads) expect(ajv.validate(schemas[name], payload)).toBe(true);
  });
});

/** Each of these is a difference we know of; a new one would fail the properties above. */
describe('what JSON Schema cannot say, and decoding refuses', () => {
  const event = {
    specversion: '1.0',
    id: '7f0c',
    source: `/${key.account}/panel-2`,
    type: 'riser.signal.v1',
    data: { signal: 'waterflow', state: 'active' },
  };
  const text = JSON.stringify(event);

  it.each([
    ['a key given twice', text.replace('{', '{"id":"7f0d",'), 'duplicate-key'],
    ['more than 64 KiB', text + ' '.repeat(65_537), 'too-large'],
    ['another account', text.replace(key.account, 'elsewhere'), 'wrong-account'],
    ['another riser', text.replace('{', '{"subject":"deluge-2",'), 'wrong-riser'],
    [
      'a leap second where there is none',
      text.replace('{', '{"time":"2026-03-02T23:59:60+01:00",'),
      'not-a-cloud-event',
    ],
  ])('%s', (_what, payload, reason) => {
    const result = decoded('signal', payload);

    expect(signalByJsonSchema(JSON.parse(payload))).toBe(true);
    expect(result.ok ? 'signal' : result.failure.reason).toBe(reason);
  });

  it('probabilities that add up to more than 1', () => {
    const at = '2026-03-02T08:14:07Z';
    const group = { causes: ['supply-weak'], probability: 0.6, check: 'Read the supply gauge.' };
    const finding = {
      id: 'f-1',
      code: 'release-without-flow',
      riser: 'quayside-cold-store/deluge-1',
      severity: 'critical',
      status: 'raised',
      alertState: 'unacknowledged',
      at,
      raisedAt: at,
      evidence: [{ id: 'e-1', what: 'solenoid', at }],
      explanation: 'The solenoid was energized and no water followed.',
      causes: [group, group],
      advice: 'Send somebody.',
      caution: 'Do not reset.',
    };

    expect(ajv.validate(schemas.finding, finding)).toBe(true);
    expect(findingPayload.safeParse(finding).success).toBe(false);
    expect(findingPayload.safeParse({ ...finding, causes: [group] }).success).toBe(true);
  });
});
