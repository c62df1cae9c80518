import type { Journal, RecordedEvent } from '@tidemark/journal';
import { instant } from '@tidemark/kernel';
import type { Instant } from '@tidemark/kernel';
import type { Installed, RiserKey } from '@tidemark/signals';
import { defaultPrefix, topicOf } from '@tidemark/signals';

/** The riser that the ingest tests use. */
export const riser: RiserKey = { account: 'quayside-cold-store', riser: 'deluge-1' };

/** Topics of that riser. */
export const signalTopic = topicOf(defaultPrefix, riser, 'signal');
export const linkTopic = topicOf(defaultPrefix, riser, 'link');

/** A directory that knows risers `deluge-1` to `deluge-9` of one account. */
export const installed = ({ account, riser: name }: RiserKey): Installed | undefined =>
  account === riser.account && /^deluge-[1-9]$/.test(name)
    ? { contactIdAccount: '1234', points: [{ point: 3, signal: 'waterflow' }] }
    : undefined;

/** The clock of this machine. */
export const systemClock = (): Instant => instant(Date.now());

/** A valid waterflow signal with this id, as bytes on the wire. */
export function waterflow(id: string, name = riser.riser): string {
  return JSON.stringify({
    specversion: '1.0',
    id,
    source: `/${riser.account}/panel-2`,
    type: 'riser.signal.v1',
    subject: name,
    time: '2026-03-02T08:14:07.120Z',
    data: { signal: 'waterflow', state: 'active', point: 3 },
  });
}

/** The journal's events, those of one type or all, in its order. */
export async function recorded(journal: Pick<Journal, 'readAll'>, type?: string): Promise<readonly RecordedEvent[]> {
  const events: RecordedEvent[] = [];
  for await (const event of journal.readAll()) if (type === undefined || event.type === type) events.push(event);
  return events;
}

/** The CloudEvents ids of the signals received, in the journal's order. */
export const signalIds = async (journal: Pick<Journal, 'readAll'>): Promise<readonly string[]> =>
  (await recorded(journal, 'signal-received')).map(({ metadata }) => metadata['signalId'] as string);
