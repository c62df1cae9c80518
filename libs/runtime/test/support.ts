import { MemoryJournal, deriveEventId, JournalUnavailable, streamName, streamPrefix } from '@tidemark/journal';
import type { Journal, NewEvent, Position, RecordedEvent, Subscribe } from '@tidemark/journal';
import { instant, ok, seededRandom } from '@tidemark/kernel';
import type { Instant } from '@tidemark/kernel';
import type { Fold } from '../src/index.ts';
import { TestClock } from '../src/index.ts';

/** A ledger of sums: small enough to know the answer by heart, and with an output now and then. */
export type Entry =
  { readonly type: 'opened'; readonly sum: number } | { readonly type: 'added'; readonly sum: number };

export const prefix = streamPrefix('ledger');
export const ledger = (name: string) => streamName('ledger', name);

export const fold: Fold<number, Entry, string> = {
  prefix,
  decode: ({ type, data }) => {
    const sum = data['sum'];
    if (typeof sum !== 'number') return { ok: false, failure: 'sum: expected a number' };
    return type === 'opened' || type === 'added'
      ? ok<Entry>({ type, sum })
      : { ok: false, failure: `${type} is not known` };
  },
  initial: (event) => (event.type === 'opened' ? 0 : undefined),
  step: (state, { sum }) => ({ state: state + sum, outputs: state < 10 && state + sum >= 10 ? ['ten'] : [] }),
};

export const start = instant(1_700_000_000_000);

export const clockAt = (at: Instant = start): TestClock => new TestClock(at);

export const random = () => seededRandom(7);

let drawn = 0;

/** An event of its own each time. */
export const entry = (type: string, sum: number | string): NewEvent => ({
  id: deriveEventId(['entry', String((drawn += 1))]),
  type,
  data: { sum },
});

export async function add(journal: Journal, name: string, ...events: readonly NewEvent[]): Promise<Position> {
  const appended = await journal.append({ stream: ledger(name), events, expected: 'any' });
  if (!appended.ok) throw new Error('refused');
  return appended.value.position;
}

export async function recorded(journal: Journal): Promise<readonly RecordedEvent[]> {
  const events: RecordedEvent[] = [];
  for await (const event of journal.readAll()) events.push(event);
  return events;
}

/** A journal whose store is away from time to time: an adapter over the real one, in the way a full disk would show. */
export class AilingJournal extends MemoryJournal {
  /** So many readings fail before each that succeeds. */
  failReads = 0;
  /** The reading breaks after this many messages. */
  breakAfter: number | undefined;
  failCheckpoints = 0;

  override async *subscribe(options: Subscribe = {}) {
    if (this.failReads > 0) {
      this.failReads -= 1;
      throw new JournalUnavailable('read', new Error('the disk is away'));
    }
    let delivered = 0;
    for await (const message of super.subscribe(options)) {
      if (delivered === this.breakAfter) {
        this.breakAfter = undefined;
        throw new JournalUnavailable('read', new Error('the disk went away'));
      }
      delivered += 1;
      yield message;
    }
  }

  override async writeCheckpoint(name: string, position: Position): Promise<void> {
    if (this.failCheckpoints > 0) {
      this.failCheckpoints -= 1;
      throw new JournalUnavailable('checkpoint', new Error('the disk is full'));
    }
    await super.writeCheckpoint(name, position);
  }
}

/** Lets everything that can go on without time passing go on, until it is so or it is plain that it will not be. */
export async function until(isSo: () => boolean): Promise<void> {
  for (let turns = 0; turns < 2_000; turns += 1) {
    if (isSo()) return;
    await new Promise(setImmediate);
  }
  throw new Error('it did not come about');
}
