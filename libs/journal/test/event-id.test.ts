import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InvariantViolated } from '@tidemark/kernel';
import { deriveEventId, parseEventId } from '@tidemark/journal';
import { nameBasedUuid } from '../src/event-id.ts';

const strings = fc.array(fc.string({ unit: 'binary' }), { minLength: 1, maxLength: 4 });

describe('an event id', () => {
  it('is a name-based UUID of version 8 as RFC 9562 works one out', () => {
    // RFC 9562, appendix B.2: the DNS name space and "www.example.com", by SHA-256.
    expect(nameBasedUuid('6ba7b810-9dad-11d1-80b4-00c04fd430c8', 'www.example.com')).toBe(
      '5c146b14-3c52-8afd-938a-375d0df1fbf6',
    );
  });

  it('stays what it was: events recorded before must be recognised for ever', () => {
    expect(deriveEventId(['signal', '/quayside-cold-store/panel-2', '7f0c'])).toBe(
      '702dd666-b66f-816b-aeba-88807b4ec616',
    );
  });

  it('is a UUID whatever its parts', () => {
    fc.assert(
      fc.property(strings, (parts) => {
        expect(parseEventId(deriveEventId(parts))).toEqual({ ok: true, value: deriveEventId(parts) });
      }),
    );
  });

  it('differs when its parts differ, also where they only are cut differently', () => {
    fc.assert(
      fc.property(strings, strings, (one, other) => {
        expect(deriveEventId(one) === deriveEventId(other)).toBe(JSON.stringify(one) === JSON.stringify(other));
      }),
    );
    expect(deriveEventId(['ab', 'c'])).not.toBe(deriveEventId(['a', 'bc']));
    expect(deriveEventId(['a', ''])).not.toBe(deriveEventId(['a']));
    expect(deriveEventId(['a","b'])).not.toBe(deriveEventId(['a', 'b']));
  });

  it('is not derived from nothing', () => {
    expect(() => deriveEventId([])).toThrow(InvariantViolated);
  });

  it.each([
    '',
    'a',
    '5C146B14-3C52-8AFD-938A-375D0DF1FBF6',
    '5c146b143c528afd938a375d0df1fbf6',
    '5c146b14-3c52-8afd-938a-375d0df1fbf6\n',
  ])('is not %j', (text) => {
    expect(parseEventId(text)).toEqual({ ok: false, failure: 'malformed-event-id' });
  });
});
