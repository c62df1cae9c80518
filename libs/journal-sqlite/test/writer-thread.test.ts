import type { Worker } from 'node:worker_threads';
import fc from 'fast-check';
import { describe, expect, it, onTestFinished } from 'vitest';
import { instant, InvariantViolated, seededRandom } from '@tidemark/kernel';
import type { Position, Revision } from '@tidemark/journal';
import { encodeAppends, JournalUnavailable } from '@tidemark/journal';
import { openForWriting } from '../src/database.ts';
import { WriterThreadEnded } from '../src/faults.ts';
import type { Group } from '../src/group.ts';
import { faultOf, groupOf, wireOf, wireOfFault } from '../src/group-wire.ts';
import { SqliteJournal } from '../src/sqlite-journal.ts';
import { ThreadWriter } from '../src/thread-writer.ts';
import { alter, append, collect, deluge1, deluge2, event, journalPath, tickingClock } from './support.ts';

/** A journal that writes on a thread of its own, and the threads it has started, which Node tells of. */
function journalWithThreads(path: string): { readonly journal: SqliteJournal; readonly threads: readonly Worker[] } {
  const threads: Worker[] = [];
  const hear = (thread: Worker): void => void threads.push(thread);
  process.on('worker', hear);
  onTestFinished(() => void process.off('worker', hear));
  return { journal: SqliteJournal.open({ path, clock: tickingClock(), writer: 'own-thread' }), threads };
}

describe('the thread that writes', () => {
  it('is killed again and again: what was under way is refused, what was said to be durable is there, once and in order', async () => {
    const path = journalPath();
    const { journal, threads } = journalWithThreads(path);
    const random = seededRandom(8);
    const durable: string[] = [];
    let refused = 0;
    for (let round = 0; round < 40; round += 1) {
      const names = Array.from({ length: 50 }, (_, number) => `${String(round)}-${String(number)}`);
      const appended = journal.append(append(deluge1, ...names));
      if (random.next() < 0.3) {
        // At some moment of the commit: before it, in it, after it and before the answer.
        const until_ms = performance.now() + random.next() * 4;
        while (performance.now() < until_ms) await new Promise(setImmediate);
        await threads.at(-1)?.terminate();
      }
      try {
        await appended;
      } catch (fault) {
        expect(fault).toBeInstanceOf(JournalUnavailable);
        expect((fault as JournalUnavailable).cause).toBeInstanceOf(WriterThreadEnded);
        refused += 1;
        await journal.append(append(deluge1, ...names));
      }
      durable.push(...names);
    }

    expect(refused).toBeGreaterThan(2);
    expect((await collect(journal.readStream(deluge1))).map(({ data }) => data['name'])).toEqual(durable);
    expect(await journal.verify()).toEqual({ ok: true, value: { events: durable.length, streams: 1 } });
    await journal.close();
    const again = SqliteJournal.open({ path, clock: tickingClock() });
    expect(await again.verify()).toEqual({ ok: true, value: { events: durable.length, streams: 1 } });
    await again.close();
  });

  it('may end while nothing is written: the next append starts another', async () => {
    const { journal, threads } = journalWithThreads(journalPath());
    await journal.append(append(deluge1, 'a'));
    await threads[0]?.terminate();

    expect(await journal.append(append(deluge1, 'a', 'b'))).toMatchObject({
      ok: true,
      value: { fresh: [false, true] },
    });
    expect(threads).toHaveLength(2);
    await journal.close();
  });

  it('that cannot start makes the journal unavailable and says why', async () => {
    const path = journalPath();
    const journal = new SqliteJournal(openForWriting(path), tickingClock(), new ThreadWriter(`${path}.not-there`));

    await expect(journal.append(append(deluge1, 'a'))).rejects.toMatchObject({
      code: 'journal-unavailable',
      cause: {
        code: 'writer-thread-ended',
        cause: { message: expect.stringContaining('journal unavailable during open') as string },
      },
    });
    await journal.close();
  });

  it('tells what SQLite said, and writes on afterwards', async () => {
    const path = journalPath();
    const { journal } = journalWithThreads(path);
    await journal.append(append(deluge1, 'a'));
    alter(path, `CREATE TRIGGER full BEFORE INSERT ON events BEGIN SELECT RAISE(FAIL, 'no room'); END`);

    await expect(journal.append(append(deluge2, 'b'))).rejects.toMatchObject({
      code: 'journal-unavailable',
      cause: { code: 'SQLITE_CONSTRAINT_TRIGGER', message: 'no room' },
    });
    alter(path, 'DROP TRIGGER full');

    expect(await journal.append(append(deluge2, 'b'))).toMatchObject({ ok: true, value: { revision: 0n } });
    await journal.close();
  });

  it('does what was asked before the journal was closed', async () => {
    const path = journalPath();
    const { journal } = journalWithThreads(path);
    const asked = Array.from({ length: 20 }, (_, number) => journal.append(append(deluge1, number)));
    await journal.close();

    expect(await Promise.all(asked)).toHaveLength(20);
    const again = SqliteJournal.open({ path, clock: tickingClock() });
    expect(await collect(again.readAll())).toHaveLength(20);
    await again.close();
  });
});

describe('what goes to the thread', () => {
  const anyEvent = fc.record({
    name: fc.string({ unit: 'binary' }),
    text: fc.constantFrom('', '\n', '\r\n', '\u2028', '\u{1f525}', '\ud800'),
    recordedAt: fc.option(fc.nat().map(instant), { nil: undefined }),
  });
  const anyAppend = fc.record({
    stream: fc.constantFrom(deluge1, deluge2),
    expected: fc.constantFrom('any' as const, 'no-stream' as const, 7n as Revision),
    events: fc.array(
      anyEvent.map(({ name, text, recordedAt }) => ({
        ...event(name, text),
        metadata: { text },
        ...(recordedAt === undefined ? {} : { recordedAt }),
      })),
      { minLength: 1, maxLength: 5 },
    ),
  });

  it('comes out of a message as it went in, whatever its text', () => {
    fc.assert(
      fc.property(fc.array(anyAppend, { maxLength: 4 }), fc.nat(), (appends, now) => {
        const requests = encodeAppends(appends).flatMap((each) =>
          each.ok ? [{ type: 'append' as const, append: each.value }] : [],
        );
        const checkpoint = { type: 'checkpoint' as const, name: 'twin\nof a riser', position: 5n as Position };
        const group: Group = { now: instant(now), requests: [...requests, checkpoint] };

        expect(groupOf(structuredClone(wireOf(group)))).toEqual(group);
      }),
    );
  });

  it('comes back as a bug where it was one, and as a fault where the world failed', () => {
    const bug = wireOfFault(new InvariantViolated('a claim'));
    const fault = wireOfFault(Object.assign(new Error('disk full'), { code: 'SQLITE_FULL' }));

    expect(bug.type === 'committed' ? bug : faultOf(bug)).toEqual(new InvariantViolated('a claim'));
    expect(fault.type === 'committed' ? fault : faultOf(fault)).toMatchObject({
      code: 'SQLITE_FULL',
      message: 'disk full',
    });
  });
});
