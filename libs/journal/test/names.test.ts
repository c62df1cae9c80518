import { describe, expect, it } from 'vitest';
import { InvariantViolated } from '@tidemark/kernel';
import { isWanted, parseStreamName, parseStreamPrefix, streamName, streamPrefix } from '@tidemark/journal';

describe('a stream name', () => {
  it.each(['a', 'riser/quayside-cold-store/deluge-1', 'v1.2/x', '0/-/.', 'x'.repeat(200)])('may be %s', (text) => {
    expect(parseStreamName(text)).toEqual({ ok: true, value: text });
  });

  it.each(['', '/', 'a/', '/a', 'a//b', 'A', 'a b', 'a_b', 'ä', 'a\n', '$all', 'x'.repeat(201)])(
    'may not be %j',
    (text) => {
      expect(parseStreamName(text)).toEqual({ ok: false, failure: 'malformed-stream-name' });
    },
  );

  it('is joined from its segments', () => {
    expect(streamName('riser', 'quayside', 'deluge-1')).toBe('riser/quayside/deluge-1');
  });

  it.each([[[]], [['']], [['riser', '']], [['riser', 'a/b']], [['Riser']]])('is not joined from %j', (segments) => {
    expect(() => streamName(...segments)).toThrow(InvariantViolated);
  });
});

describe('a stream prefix', () => {
  it.each(['riser/', 'riser/quayside/'])('may be %s', (text) => {
    expect(parseStreamPrefix(text)).toEqual({ ok: true, value: text });
  });

  it.each(['', '/', 'riser', 'riser//', '/riser/', 'Riser/', 'riser/\n'])('may not be %j', (text) => {
    expect(parseStreamPrefix(text)).toEqual({ ok: false, failure: 'malformed-stream-prefix' });
  });

  it('wants the streams below it', () => {
    const prefixes = [streamPrefix('riser', 'quayside')];

    expect(isWanted(streamName('riser', 'quayside', 'deluge-1'), prefixes)).toBe(true);
    expect(isWanted(streamName('riser', 'quayside-2', 'deluge-1'), prefixes)).toBe(false);
    expect(isWanted(streamName('riser', 'quayside'), prefixes)).toBe(false);
  });

  it('none given wants all, an empty list wants none', () => {
    expect(isWanted(streamName('riser'), undefined)).toBe(true);
    expect(isWanted(streamName('riser'), [])).toBe(false);
  });
});
