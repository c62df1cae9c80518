import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Instant, JsonObject } from '@tidemark/kernel';
import { canonicalJson } from '@tidemark/kernel';
import type { ChainedEvent, Revision } from '@tidemark/journal';
import { chainHash, deriveEventId, genesisHash, streamName } from '@tidemark/journal';

const event: ChainedEvent = {
  stream: streamName('riser', 'quayside-cold-store', 'deluge-1'),
  revision: 7n as Revision,
  id: deriveEventId(['chain', 'a']),
  type: 'water"flow\\observed',
  data: { z: [1, { b: null, a: 0.1 }], a: '8 L/min €\u0000' },
  metadata: { schema: 1 },
  recordedAt: 1_772_439_247_120 as Instant,
};

describe('the hash chain', () => {
  it('is SHA-256 over exactly the bytes that are documented', () => {
    const bytes = Buffer.from(
      `{"data":{"a":"8 L/min €\\u0000","z":[1,{"a":0.1,"b":null}]},"id":"${event.id}","metadata":{"schema":1},` +
        `"previous":"${genesisHash}","recordedAt":1772439247120,"revision":"7",` +
        `"stream":"riser/quayside-cold-store/deluge-1","type":"water\\"flow\\\\observed"}`,
      'utf8',
    );

    expect(chainHash(genesisHash, event)).toBe(createHash('sha256').update(bytes).digest('hex'));
  });

  it('is over the canonical JSON of one object, whatever the data', () => {
    fc.assert(
      fc.property(
        fc.dictionary(fc.string({ unit: 'binary' }), fc.jsonValue()),
        fc.bigInt({ min: 0n, max: 2n ** 63n - 1n }),
        (values, revision) => {
          const data = JSON.parse(JSON.stringify(values)) as JsonObject;
          const text = canonicalJson({ ...event, data, revision: String(revision), previous: genesisHash });

          expect(chainHash(genesisHash, { ...event, data, revision: revision as Revision })).toBe(
            createHash('sha256').update(text).digest('hex'),
          );
        },
      ),
    );
  });

  it.each([
    ['stream', { stream: streamName('riser', 'quayside-cold-store', 'deluge-2') }],
    ['revision', { revision: 8n as Revision }],
    ['id', { id: deriveEventId(['chain', 'b']) }],
    ['type', { type: 'waterflow' }],
    ['data', { data: { ...event.data, a: '9 L/min' } }],
    ['metadata', { metadata: {} }],
    ['time', { recordedAt: 1_772_439_247_121 as Instant }],
  ])('covers the %s', (_, change) => {
    expect(chainHash(genesisHash, { ...event, ...change })).not.toBe(chainHash(genesisHash, event));
  });

  it('covers the hash before it', () => {
    expect(chainHash('1'.repeat(64), event)).not.toBe(chainHash(genesisHash, event));
  });

  it('does not depend on the order in which data was written', () => {
    const data = { a: event.data['a'] ?? null, z: [1, { a: 0.1, b: null }] };

    expect(chainHash(genesisHash, { ...event, data })).toBe(chainHash(genesisHash, event));
  });
});
