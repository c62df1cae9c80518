import { filterOf, parseTopic, topicOf } from '@tidemark/signals';
import type { Channel } from '@tidemark/signals';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';

const name = fc.stringMatching(/^[a-z0-9][a-z0-9-]{0,62}$/);
const channel = fc.constantFrom<Channel>('signal', 'link', 'contact', 'output', 'state', 'finding');

describe('a topic', () => {
  it('names account, riser and channel', () => {
    expect(parseTopic('risers/v1/quayside-cold-store/deluge-1/signal')).toEqual({
      ok: true,
      value: { key: { account: 'quayside-cold-store', riser: 'deluge-1' }, channel: 'signal' },
    });
  });

  it.each([
    ['risers/v2/a/b/signal', 'outside-prefix'],
    ['risers/v10/a/b/signal', 'outside-prefix'],
    ['/risers/v1/a/b/signal', 'outside-prefix'],
    ['', 'outside-prefix'],
    ['risers/v1/a', 'malformed-name'],
    ['risers/v1//b/signal', 'malformed-name'],
    ['risers/v1/A/b/signal', 'malformed-name'],
    ['risers/v1/-a/b/signal', 'malformed-name'],
    ['risers/v1/a/b_c/signal', 'malformed-name'],
    ['risers/v1/a/b\n/signal', 'malformed-name'],
    ['risers/v1/a/+/signal', 'malformed-name'],
    [`risers/v1/a/${'b'.repeat(64)}/signal`, 'malformed-name'],
    ['risers/v1/a/b', 'unknown-channel'],
    ['risers/v1/a/b/', 'unknown-channel'],
    ['risers/v1/a/b/signals', 'unknown-channel'],
    ['risers/v1/a/b/toString', 'unknown-channel'],
    ['risers/v1/a/b/signal/', 'unknown-channel'],
    ['risers/v1/a/b/signal/signal', 'unknown-channel'],
  ])('%j is refused as %s', (topic, failure) => {
    expect(parseTopic(topic)).toEqual({ ok: false, failure });
  });

  it('has names of up to 63 characters', () => {
    expect(parseTopic(`risers/v1/a/${'b'.repeat(63)}/link`).ok).toBe(true);
  });

  it('reads back as it was written, below any prefix', () => {
    fc.assert(
      fc.property(
        name,
        name,
        channel,
        fc.constantFrom('risers/v1', 'x', 'site/7/risers'),
        (account, riser, last, prefix) => {
          expect(parseTopic(topicOf(prefix, { account, riser }, last), prefix)).toEqual({
            ok: true,
            value: { key: { account, riser }, channel: last },
          });
        },
      ),
      { seed: 1 },
    );
  });

  it('is heard for every riser through one filter', () => {
    expect(filterOf('risers/v1', 'link')).toBe('risers/v1/+/+/link');
  });
});
