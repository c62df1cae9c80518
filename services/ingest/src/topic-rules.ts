import type { Channel, RiserKey, Topic } from '@tidemark/signals';
import { parseTopic } from '@tidemark/signals';

/** Whose topics a client may use; `riser` absent: all of the account. */
export interface Bounds {
  readonly account: string;
  readonly riser?: string;
}

/** Who is asking: bound to an account, or anyone at all where no credentials are configured. */
export type Bound = Bounds | 'anyone';

/**
 * What happens to a PUBLISH: `take` it into the journal; `pass` it on unread, as it is not for the station; or `refuse`
 * it, since its topic is not the client's to write.
 */
export type PublishRuling = 'take' | 'pass' | 'refuse';

/** The channels that the station itself writes (CONTRACT 1). */
const ofTheStation: readonly Channel[] = ['state', 'finding'];

/** The channels between the simulator and a panel under test, which the station does not read. */
const ofTheBench: readonly Channel[] = ['contact', 'output'];

/** A client writes below its own account and riser only. A topic that is none of ours is taken, and ends in quarantine. */
export function rulePublish(bound: Bound, topic: string, prefix: string): PublishRuling {
  if (topic.startsWith('$')) return 'refuse';
  const parsed = parseTopic(topic, prefix);
  if (!parsed.ok) return bound === 'anyone' ? 'take' : 'refuse';
  if (!within(bound, parsed.value.key) || is(ofTheStation, parsed.value)) return 'refuse';
  return is(ofTheBench, parsed.value) ? 'pass' : 'take';
}

/** A client reads its own account only: the filter's first levels must say so, wildcards come after. `$SYS` and `$share` are for nobody. */
export function mayRead(bound: Bound, filter: string, prefix: string): boolean {
  if (filter.startsWith('$')) return false;
  if (bound === 'anyone') return true;
  if (!filter.startsWith(`${prefix}/`)) return false;
  const [account, riser] = filter.slice(prefix.length + 1).split('/');
  return account === bound.account && (bound.riser === undefined || riser === bound.riser);
}

/** Only a link is retained for others to find; anything else stored would be told again to each new reader as if it were news. */
export function mayRetain(topic: string, prefix: string): boolean {
  const parsed = parseTopic(topic, prefix);
  return parsed.ok && parsed.value.channel === 'link';
}

const is = (channels: readonly Channel[], { channel }: Topic): boolean => channels.includes(channel);

const within = (bound: Bound, { account, riser }: RiserKey): boolean =>
  bound === 'anyone' || (account === bound.account && (bound.riser === undefined || riser === bound.riser));
