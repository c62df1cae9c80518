import { onTestFinished } from 'vitest';
import type { Result } from '@tidemark/kernel';
import { instant, invariant, seededRandom } from '@tidemark/kernel';
import type { Append, Appended, Journal, NewEvent, RecordedEvent, StreamName } from '@tidemark/journal';
import { deriveEventId, streamName } from '@tidemark/journal';
import type { KurrentDbJournalOptions, Patience } from '@tidemark/journal-kurrentdb';
import { KurrentDbJournal } from '@tidemark/journal-kurrentdb';

export const deluge1 = streamName('riser', 'quayside-cold-store', 'deluge-1');
export const deluge2 = streamName('riser', 'quayside-cold-store', 'deluge-2');

/** Tries as often as in service, but soon again; still waits long enough for an answer on a busy machine. */
export const quick: Partial<Patience> = { answer_ms: 4_000, backoff: { first_ms: 5, longest_ms: 100 } };

/** For drills in which an answer never comes; still longer than a busy machine takes for one that does. */
export const impatient: Partial<Patience> = { ...quick, answer_ms: 1_000, search_ms: 1_000, probe_ms: 150 };

/** A clock that moves by a second with each look, from a time that tells writers apart. */
export function tickingClock(start_ms = 1_772_439_247_120): KurrentDbJournalOptions['clock'] {
  let now = start_ms;
  return () => instant((now += 1_000));
}

/** Opens a journal that is closed when the test ends. */
export function openJournal(options: Partial<KurrentDbJournalOptions> & { readonly url: string }): KurrentDbJournal {
  const journal = KurrentDbJournal.open({
    clock: tickingClock(),
    random: seededRandom(1),
    ...options,
    patience: { ...quick, ...options.patience },
  });
  onTestFinished(() => journal.close());
  return journal;
}

export const event = (name: string | number, text = ''): NewEvent => ({
  id: deriveEventId(['kurrentdb', String(name)]),
  type: 'waterflow-observed',
  data: { name, text },
});

export const append = (
  stream: StreamName,
  names: readonly (string | number)[],
  expected: Append['expected'] = 'any',
): Append => ({ stream, events: names.map((name) => event(name)), expected });

/** The whole numbers from 0 up to but without `count`. */
export const upTo = (count: number): readonly number[] => Array.from({ length: count }, (_, index) => index);

export async function collect<Value>(values: AsyncIterable<Value>): Promise<readonly Value[]> {
  const collected: Value[] = [];
  for await (const value of values) collected.push(value);
  return collected;
}

export const namesOf = (events: readonly RecordedEvent[]): readonly unknown[] => events.map(({ data }) => data['name']);

/** What was done, or a failure of the test. */
export function taken(result: Result<Appended, { readonly type: string }>): Appended {
  invariant(result.ok, `the append is taken${result.ok ? '' : `, not refused as ${result.failure.type}`}`);
  return result.value;
}

/** The names of the events a subscription delivers, growing while it runs; it stops when the test ends. */
export function follow(journal: Journal): { readonly names: unknown[]; readonly caughtUp: () => number } {
  const names: unknown[] = [];
  let caughtUp = 0;
  const stop = new AbortController();
  const following = (async () => {
    for await (const message of journal.subscribe({ signal: stop.signal }))
      if (message.type === 'event') names.push(message.event.data['name']);
      else caughtUp += 1;
  })();
  onTestFinished(async () => {
    stop.abort();
    await following;
  });
  return { names, caughtUp: () => caughtUp };
}
