import { instant } from '@tidemark/kernel';
import { decode, encodeLink, encodeSignal } from '@tidemark/signals';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { example, installed, receive, receivedAt, signalOf } from './message.ts';
import { anySignal, key } from './signal-arbitrary.ts';

describe('a signal sent', () => {
  it('is the contract’s example when it came as that', () => {
    const { payload, contentType } = encodeSignal(signalOf(receive(example)));

    expect(contentType).toBe('application/cloudevents+json');
    expect(JSON.parse(new TextDecoder().decode(payload))).toEqual(example);
  });

  it('is received as it was, whatever it says', () => {
    fc.assert(
      fc.property(anySignal, (signal) => {
        const { payload, contentType } = encodeSignal(signal);

        expect(receive(payload, { contentType })).toEqual({ ok: true, value: { type: 'signal', signal } });
      }),
      { seed: 3, numRuns: 1_000 },
    );
  });

  it('that no receiver would take is a bug of the sender', () => {
    const signal = signalOf(receive(example));

    expect(() => encodeSignal({ ...signal, point: -1 })).toThrow('fits the schema');
    expect(() => encodeSignal({ ...signal, id: '' })).toThrow('fits the schema');
  });
});

describe('a link message sent', () => {
  it('is received as it was', () => {
    const whole = { link: 'up', session: 's-7', time: instant(1_772_439_247_120) } as const;
    const bare = { link: 'down' } as const;

    for (const message of [whole, bare]) {
      const { payload, contentType } = encodeLink(message);
      expect(receive(payload, { channel: 'link', contentType })).toEqual({
        ok: true,
        value: { type: 'link', key, ...message },
      });
    }
  });
});

describe('whatever arrives', () => {
  const topics = fc.oneof(
    fc.constantFrom('signal', 'link', 'state').map((channel) => `risers/v1/${key.account}/${key.riser}/${channel}`),
    fc.string({ unit: 'binary' }),
  );
  const contentTypes = fc.option(
    fc.oneof(
      fc.constantFrom('application/cloudevents+json', 'application/vnd.contact-id', 'application/json'),
      fc.string({ unit: 'binary' }),
    ),
    { nil: undefined },
  );

  /** A valid payload with some bytes overwritten: far closer to a signal than chance would come. */
  const damaged = fc
    .tuple(anySignal, fc.array(fc.tuple(fc.nat(), fc.integer({ min: 0, max: 255 })), { maxLength: 4 }))
    .map(([signal, damages]) => {
      const payload = Uint8Array.from(encodeSignal(signal).payload);
      for (const [at, value] of damages) payload[at % payload.length] = value;
      return payload;
    });
  const payloads = fc.oneof(
    fc.uint8Array({ maxLength: 200 }),
    damaged,
    fc.json().map((text) => new TextEncoder().encode(text)),
    fc.stringMatching(/^[0-9A-F ]{16,24}$/).map((text) => new TextEncoder().encode(text)),
  );

  it('is answered with a message or with a readable reason, never with an exception', () => {
    fc.assert(
      fc.property(topics, payloads, contentTypes, (topic, payload, contentType) => {
        const result = decode(
          { topic, payload, receivedAt, ...(contentType === undefined ? {} : { contentType }) },
          { prefix: 'risers/v1', installed: () => installed },
        );

        if (result.ok) expect(['signal', 'link']).toContain(result.value.type);
        else {
          expect(result.failure.reason).toMatch(/^[a-z]+(-[a-z0-9]+)+$/);
          expect(result.failure.detail).toMatch(/^[A-Z][^]{10,400}[.…]$/);
        }
      }),
      { seed: 4, numRuns: 3_000 },
    );
  });
});
