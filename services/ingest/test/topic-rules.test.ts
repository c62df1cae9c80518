import { describe, expect, it } from 'vitest';
import { mayRead, mayRetain, rulePublish } from '../src/topic-rules.ts';
import type { Bound } from '../src/topic-rules.ts';

const prefix = 'risers/v1';
const account: Bound = { account: 'quay' };
const panel: Bound = { account: 'quay', riser: 'deluge-1' };

describe('publishing', () => {
  it.each<[Bound, string, string]>([
    [panel, 'risers/v1/quay/deluge-1/signal', 'take'],
    [panel, 'risers/v1/quay/deluge-1/link', 'take'],
    [panel, 'risers/v1/quay/deluge-1/contact', 'pass'],
    [panel, 'risers/v1/quay/deluge-1/output', 'pass'],
    [panel, 'risers/v1/quay/deluge-1/state', 'refuse'],
    [panel, 'risers/v1/quay/deluge-1/finding', 'refuse'],
    [panel, 'risers/v1/quay/deluge-2/signal', 'refuse'],
    [panel, 'risers/v1/quay/deluge-1/signals', 'refuse'],
    [panel, 'risers/v1/quay-2/deluge-1/signal', 'refuse'],
    [account, 'risers/v1/quay/deluge-2/signal', 'take'],
    [account, 'risers/v1/quay-2/deluge-2/signal', 'refuse'],
    ['anyone', 'risers/v1/any/riser/signal', 'take'],
    ['anyone', 'risers/v1/any/riser/state', 'refuse'],
    ['anyone', 'a typo', 'take'],
    ['anyone', '$SYS/x', 'refuse'],
  ])('by %o to %s is: %s', (bound, topic, ruling) => {
    expect(rulePublish(bound, topic, prefix)).toBe(ruling);
  });
});

describe('reading', () => {
  it.each<[Bound, string, boolean]>([
    [panel, 'risers/v1/quay/deluge-1/#', true],
    [panel, 'risers/v1/quay/deluge-1', true],
    [panel, 'risers/v1/quay/+/state', false],
    [panel, 'risers/v1/quay/#', false],
    [account, 'risers/v1/quay/#', true],
    [account, 'risers/v1/quay/+/state', true],
    [account, 'risers/v1/+/deluge-1/state', false],
    [account, 'risers/v1/#', false],
    [account, 'risers/+/quay/#', false],
    [account, '#', false],
    ['anyone', '#', true],
    ['anyone', '$SYS/#', false],
    ['anyone', '$share/a/#', false],
  ])('by %o of %s is allowed: %s', (bound, filter, allowed) => {
    expect(mayRead(bound, filter, prefix)).toBe(allowed);
  });
});

it('only a link is retained', () => {
  const channels = ['signal', 'link', 'contact', 'output', 'state', 'finding', 'other'];

  expect(channels.filter((channel) => mayRetain(`risers/v1/quay/deluge-1/${channel}`, prefix))).toEqual(['link']);
});
