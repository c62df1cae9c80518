import { fail, ok } from '@tidemark/kernel';
import type { Result } from '@tidemark/kernel';
import type { RiserKey } from './signal.ts';

/** The last segment of a topic: what is said on it (CONTRACT 1). */
export type Channel = (typeof channels)[number];

/** A topic read: whose it is and what is said on it. */
export interface Topic {
  readonly key: RiserKey;
  readonly channel: Channel;
}

/** Why a topic is not one of ours. */
export type TopicFailure = 'outside-prefix' | 'malformed-name' | 'unknown-channel';

/** Every channel below a riser's topic. */
export const channels = ['signal', 'link', 'contact', 'output', 'state', 'finding'] as const;

/** The prefix when none is configured. */
export const defaultPrefix = 'risers/v1';

/** An account's or a riser's name: 1 to 63 of `a-z`, `0-9` and `-`, not starting with `-` (CONTRACT 1). */
export const namePattern = /^[a-z0-9][a-z0-9-]{0,62}$/;

/** Reads `{prefix}/{account}/{riser}/{channel}`; exactly that depth, nothing else. */
export function parseTopic(topic: string, prefix: string = defaultPrefix): Result<Topic, TopicFailure> {
  if (!topic.startsWith(prefix) || topic[prefix.length] !== '/') return fail('outside-prefix');
  const [account, riser, last, ...rest] = topic.slice(prefix.length + 1).split('/');
  if (account === undefined || riser === undefined) return fail('malformed-name');
  if (!namePattern.test(account) || !namePattern.test(riser)) return fail('malformed-name');
  const channel = rest.length === 0 ? channels.find((name) => name === last) : undefined;
  return channel === undefined ? fail('unknown-channel') : ok({ key: { account, riser }, channel });
}

/** The topic of a riser's channel. */
export const topicOf = (prefix: string, key: RiserKey, channel: Channel): string =>
  `${prefix}/${key.account}/${key.riser}/${channel}`;

/** The subscription filter that hears one channel of every riser. */
export const filterOf = (prefix: string, channel: Channel): string => `${prefix}/+/+/${channel}`;
