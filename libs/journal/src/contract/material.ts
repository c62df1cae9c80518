import { onTestFinished } from 'vitest';
import type { Result } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
import type { JournalUnderTest, OpenJournal } from '../contract.ts';
import { deriveEventId } from '../event-id.ts';
import type {
  Append,
  Appended,
  EventId,
  ExpectedRevision,
  Journal,
  NewEvent,
  Position,
  RecordedEvent,
  Revision,
  StreamName,
} from '../journal.ts';
import { streamName, streamPrefix } from '../names.ts';

export const deluge1 = streamName('riser', 'quayside-cold-store', 'deluge-1');
export const deluge2 = streamName('riser', 'quayside-cold-store', 'deluge-2');
export const finding1 = streamName('finding', 'quayside-cold-store', 'deluge-1');

/** Neighbours whose names begin like `riser` but are not below `riser/`: they sort right before, right after and further on. */
export const neighbours = ['riser', 'riser.', 'riser-0', 'riser0', 'risers'].map((name) => streamName(name));
export const risers = streamPrefix('riser');
export const findings = streamPrefix('finding');

/** Opens a journal that is closed when the test ends. */
export async function opened(open: OpenJournal): Promise<JournalUnderTest> {
  const underTest = await open();
  onTestFinished(() => underTest.journal.close());
  return underTest;
}

export const idOf = (name: string | number): EventId => deriveEventId(['contract', String(name)]);

export const event = (name: string | number): NewEvent => ({
  id: idOf(name),
  type: 'waterflow-observed',
  data: { name, nested: { list: [1, 'two', null, true], text: 'flow — "8 L/min"\u0000\n' } },
  metadata: { schema: 1 },
});

export const events = (...names: readonly (string | number)[]): readonly NewEvent[] => names.map(event);

/** The whole numbers from 0 up to but without `count`. */
export const upTo = (count: number): readonly number[] => Array.from({ length: count }, (_, index) => index);

export const at = (revision: number): Revision => BigInt(revision) as Revision;

export const append = (
  stream: StreamName,
  names: readonly (string | number)[],
  expected: ExpectedRevision = 'any',
): Append => ({ stream, events: events(...names), expected });

/** The value of a result that must not be a rejection. */
export function taken<Value>(result: Result<Value, unknown>): Value {
  invariant(
    result.ok,
    `the append is taken, not refused with ${JSON.stringify(result, (_, value: unknown) => (typeof value === 'bigint' ? String(value) : value))}`,
  );
  return result.value;
}

export const appended = async (journal: Journal, given: Append): Promise<Appended> =>
  taken(await journal.append(given));

export async function collect<Value>(values: AsyncIterable<Value>): Promise<readonly Value[]> {
  const collected: Value[] = [];
  for await (const value of values) collected.push(value);
  return collected;
}

/** Takes this many values and leaves. */
export async function take<Value>(values: AsyncIterable<Value>, count: number): Promise<readonly Value[]> {
  const collected: Value[] = [];
  if (count === 0) return collected;
  for await (const value of values) if (collected.push(value) === count) break;
  return collected;
}

export const idsOf = (recorded: readonly RecordedEvent[]): readonly EventId[] => recorded.map(({ id }) => id);

export const positionsOf = (recorded: readonly RecordedEvent[]): readonly Position[] =>
  recorded.map(({ position }) => position);

/** Three streams with `count` events in turn, so that order within and across streams can be told apart. */
export async function recordThreeStreams(journal: Journal, count: number): Promise<readonly RecordedEvent[]> {
  const streams = [deluge1, finding1, deluge2];
  const appends = upTo(count).map((number) => append(streams[number % 3] ?? deluge1, [number]));
  for (let start = 0; start < count; start += 500)
    (await journal.appendAll(appends.slice(start, start + 500))).forEach(taken);
  return await collect(journal.readAll());
}
