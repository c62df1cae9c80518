import type { Result } from '@tidemark/kernel';
import { fail, ok } from '@tidemark/kernel';
import { chainHashOfText, genesisHash } from './chain.ts';
import type { BrokenChain, EventId, Position, Revision, StreamName, Verified } from './journal.ts';
import type { StreamTail } from './record-append.ts';
import type { StoredEvent } from './stored-event.ts';

/** What to verify: the events, each stream's in order of position, and the ends the store notes beside them. */
export interface Chain {
  readonly events: AsyncIterable<StoredEvent>;
  /** Taken before the first event is read, so that what is appended meanwhile is not missed. */
  readonly tails: ReadonlyMap<StreamName, StreamTail>;
}

interface Link {
  readonly event: StoredEvent;
  readonly next: Revision;
}

const nil = '00000000-0000-0000-0000-000000000000' as EventId;

/** Recomputes every hash and stops at the first that is wrong. Holds one link per stream in memory. */
export async function verifyChain(chain: Chain): Promise<Result<Verified, BrokenChain>> {
  const links = new Map<StreamName, Link>();
  let events = 0;
  for await (const event of chain.events) {
    const broken = follow(links.get(event.stream), event) ?? compare(event, chain.tails.get(event.stream));
    if (broken !== undefined) return fail(broken);
    links.set(event.stream, { event, next: (event.revision + 1n) as Revision });
    events += 1;
  }
  const cutOff = firstCutOff(chain.tails, links);
  return cutOff === undefined ? ok({ events, streams: links.size }) : fail(cutOff);
}

function follow(link: Link | undefined, event: StoredEvent): BrokenChain | undefined {
  const expected = chainHashOfText(link?.event.hash ?? genesisHash, event);
  const inOrder = event.revision === (link?.next ?? 0n) && event.position > (link?.event.position ?? -1n);
  if (!inOrder) return broken(event, 'misplaced', expected);
  return event.hash === expected ? undefined : broken(event, 'changed', expected);
}

const compare = (event: StoredEvent, tail: StreamTail | undefined): BrokenChain | undefined =>
  tail?.revision === event.revision && tail.hash !== event.hash ? broken(event, 'changed', tail.hash) : undefined;

function firstCutOff(
  tails: ReadonlyMap<StreamName, StreamTail>,
  links: ReadonlyMap<StreamName, Link>,
): BrokenChain | undefined {
  let first: BrokenChain | undefined;
  for (const [stream, tail] of tails) {
    const link = links.get(stream);
    if (link !== undefined && link.next > tail.revision) continue;
    const found = broken(link?.event ?? nothingLeft(stream), 'cut-off', tail.hash);
    if (first === undefined || found.position < first.position) first = found;
  }
  return first;
}

const nothingLeft = (stream: StreamName): Pick<StoredEvent, 'stream' | 'revision' | 'position' | 'id' | 'hash'> => ({
  stream,
  revision: 0n as Revision,
  position: 0n as Position,
  id: nil,
  hash: '',
});

const broken = (
  { stream, revision, position, id, hash }: Pick<StoredEvent, 'stream' | 'revision' | 'position' | 'id' | 'hash'>,
  reason: BrokenChain['reason'],
  expected: string,
): BrokenChain => ({ type: 'broken-chain', reason, stream, revision, position, id, expected, found: hash });
