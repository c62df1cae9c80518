import { deriveEventId, JournalUnavailable, MemoryJournal } from '@tidemark/journal';
import type { Append, Appended, AppendRejection, Position, Revision } from '@tidemark/journal';
import { formatInstant, instant, seededRandom } from '@tidemark/kernel';
import type { Result } from '@tidemark/kernel';
import { TestClock } from '@tidemark/runtime';
import { describe, expect, it } from 'vitest';
import { FindingStreamContested, OutputJournal } from '../src/output-journal.ts';
import { PartWatch } from '../src/part-watch.ts';
import type { TwinChange } from '../src/riser-fold.ts';
import { streamOf } from '../src/riser-fold.ts';
import { recorded, riser, settled, start } from './support.ts';

/** A journal whose next commits can be held up, or fail. */
class SlowJournal extends MemoryJournal {
  held: (() => void)[] | undefined;
  failures = 0;
  commits = 0;
  beforeAppend: () => Promise<void> = () => Promise.resolve();

  override async appendAll(appends: readonly Append[]): Promise<readonly Result<Appended, AppendRejection>[]> {
    const { held } = this;
    if (held !== undefined) await new Promise<void>((resolve) => held.push(resolve));
    if (this.failures > 0) {
      this.failures -= 1;
      throw new JournalUnavailable('append', new Error('the disk is full'));
    }
    await this.beforeAppend();
    this.commits += 1;
    return super.appendAll(appends);
  }
}

const outputsOver = async (journal: SlowJournal) => {
  const time = new TestClock(start);
  const watch = new PartWatch(time.now);
  const outputs = new OutputJournal({ journal, timer: time, random: seededRandom(1), watch });
  await outputs.start();
  return { outputs, time };
};

/** The n-th change of the riser, which made its phase known; only what an output journal looks at. */
function change(number: number, key = riser): TwinChange {
  const phase = number % 2 === 0 ? 'in-service' : 'alarm';
  const recordedEvent = {
    id: deriveEventId(['cause', key, String(number)]),
    stream: streamOf('riser', key),
    revision: BigInt(number) as Revision,
    position: BigInt(number) as Position,
  };
  const outputs = [{ type: 'phase-changed', phase, at: instant(start + number) }] as const;
  return { key, outputs, recorded: recordedEvent } as unknown as TwinChange;
}

const times = async (journal: MemoryJournal, key = riser): Promise<readonly unknown[]> =>
  (await recorded(journal, streamOf('finding', key))).map(({ data }) => data['at']);

const time = (number: number): string => formatInstant(instant(start + number));

describe('an output journal', () => {
  it('records what is offered while a commit is under way with the next one', async () => {
    const journal = new SlowJournal();
    const { outputs } = await outputsOver(journal);
    journal.held = [];

    void outputs.offer(change(1));
    await settled(journal);
    void outputs.offer(change(2));
    void outputs.offer(change(3));
    const [release] = journal.held;
    journal.held = undefined;
    release!();
    await settled(journal);

    expect(await times(journal)).toEqual([time(1), time(2), time(3)]);
    expect(journal.commits).toBe(2);
    await outputs.stop();
  });

  it('records again under the same ids what it does not know to be recorded, which changes nothing', async () => {
    const journal = new SlowJournal();
    const first = await outputsOver(journal);
    void first.outputs.offer(change(1));
    await first.outputs.settled();
    const second = await outputsOver(journal);

    void second.outputs.offer(change(1));
    void second.outputs.offer(change(2));
    await second.outputs.settled();

    expect(await times(journal)).toEqual([time(1), time(2)]);
  });

  it('asks the fold to wait when ten thousand changes wait to be recorded, until they are', async () => {
    const journal = new SlowJournal();
    const { outputs } = await outputsOver(journal);

    const room = Array.from({ length: 9_999 }, (_, number) => outputs.offer(change(number)));
    const full = outputs.offer(change(9_999));

    expect(room.every((each) => each === undefined)).toBe(true);
    expect(full).toBeInstanceOf(Promise);
    await full;
    expect((await times(journal)).length).toBe(10_000);
    expect(journal.commits).toBe(20);
  });

  it('tries again while the journal is away, and loses nothing', async () => {
    const journal = new SlowJournal();
    const { outputs, time: clock } = await outputsOver(journal);
    journal.failures = 2;

    void outputs.offer(change(1));
    for (let tries = 0; tries < 3; tries += 1) {
      await settled(journal);
      clock.advance(1_000);
    }
    await outputs.settled();

    expect(await times(journal)).toEqual([time(1)]);
  });

  it('leaves to the next process what it cannot record when it is stopped, and says so', async () => {
    const journal = new SlowJournal();
    const { outputs } = await outputsOver(journal);
    journal.failures = 1_000;
    void outputs.offer(change(1));

    await outputs.stop();

    expect({ settled: await outputs.settled(), recorded: await times(journal) }).toEqual({
      settled: false,
      recorded: [],
    });
  });

  it('goes on behind what somebody else wrote once, and ends when it is never alone', async () => {
    const journal = new SlowJournal();
    const { outputs } = await outputsOver(journal);
    void outputs.offer(change(1));
    await outputs.settled();
    let others = 0;
    const intrude = async (): Promise<void> => {
      journal.beforeAppend = () => Promise.resolve();
      const id = deriveEventId(['another twin', String((others += 1))]);
      await journal.append({
        stream: streamOf('finding', riser),
        events: [{ id, type: 'phase-changed', data: { at: 'other' } }],
        expected: 'any',
      });
    };

    journal.beforeAppend = intrude;
    void outputs.offer(change(2));
    await outputs.settled();
    expect(await times(journal)).toEqual([time(1), 'other', time(2)]);
    journal.beforeAppend = async () => {
      await intrude();
      journal.beforeAppend = always;
    };
    const always = journal.beforeAppend;
    void outputs.offer(change(3));

    await expect(outputs.ended).rejects.toThrow(FindingStreamContested);
  });
});
