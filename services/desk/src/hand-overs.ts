import type { CommandReceipt, HandOver, HandOverRequest, HandOvers } from '@tidemark/api';
import { handOver } from '@tidemark/api';
import type { EventId, Journal, JournalReader, RecordedEvent, Revision, StreamName } from '@tidemark/journal';
import { deriveEventId, streamName } from '@tidemark/journal';
import type { Instant } from '@tidemark/kernel';
import { formatInstant, invariant } from '@tidemark/kernel';
import { readPage } from './reading/page.ts';
import type { PageRequest } from './reading/page.ts';

/** A hand-over by whoever is logged in, with what is open at that moment. */
export type GivenHandOver = HandOverRequest & Pick<HandOver, 'from' | 'open'>;

/** Where hand-overs are recorded: one stream for the shift at each account. */
export interface Shift {
  /** Durable once it resolves; the same id again records nothing. */
  handOver(account: string, given: GivenHandOver): Promise<CommandReceipt>;
}

/** Every hand-over of an account. The clock is the station's. */
export function journalShift(journal: Journal, clock: () => Instant): Shift {
  return {
    async handOver(account, { id, from, to, note, open }) {
      const eventId: EventId = deriveEventId(['hand-over', account, id]);
      const data = { at: formatInstant(clock()), from, to, note, open: open.map((each) => ({ ...each })) };
      const event = { id: eventId, type: 'shift-handed-over', data };
      const appended = await journal.append({ stream: shiftOf(account), events: [event], expected: 'any' });
      invariant(appended.ok, 'a hand-over, whose size is bounded, is always appended');
      const { position, fresh } = appended.value;
      return { eventId, position: position.toString(), fresh: fresh[0] ?? false };
    },
  };
}

const shiftOf = (account: string): StreamName => streamName('shift', account);

/** A page of an account's hand-overs, newest first. */
export async function handOverPage(
  journal: Pick<JournalReader, 'readStream'>,
  account: string,
  request: PageRequest,
): Promise<HandOvers> {
  const from = request.cursor === undefined ? {} : { from: BigInt(request.cursor) as Revision };
  const page = await readPage(
    journal.readStream(shiftOf(account), { direction: 'backward', limit: request.limit + 1, ...from }),
    request.limit,
  );
  return {
    items: page.items.map(handOverOf),
    ...(page.following === undefined ? {} : { next: page.following.revision.toString() }),
  };
}

/** Every hand-over after a moment and the one before it, oldest first. */
export async function handOversSince(
  journal: Pick<JournalReader, 'readStream'>,
  account: string,
  since: Instant,
): Promise<readonly HandOver[]> {
  const list: HandOver[] = [];
  for await (const recorded of journal.readStream(shiftOf(account), { direction: 'backward' })) {
    const each = handOverOf(recorded);
    list.unshift(each);
    if (Date.parse(each.at) <= since) break;
  }
  return list;
}

const handOverOf = ({ id, position, data }: RecordedEvent): HandOver =>
  handOver.parse({ ...data, id, position: position.toString() });
