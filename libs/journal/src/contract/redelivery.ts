import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { OpenJournal } from '../contract.ts';
import { recognised_events } from '../journal.ts';
import { streamName } from '../names.ts';
import {
  append,
  appended,
  at,
  collect,
  deluge1,
  deluge2,
  event,
  idOf,
  idsOf,
  opened,
  taken,
  upTo,
} from './material.ts';

/** Property runs share one journal and take a stream each. */
const runs = 40;

export function describeRedelivery(open: OpenJournal): void {
  describe('when events come again', () => {
    describePartsThatAreThere(open);
    describeSameIds(open);
    describeAnyCutting(open);

    it('succeeds and records nothing when all are there, whatever is expected', async () => {
      const { journal } = await opened(open);
      const first = await appended(journal, append(deluge1, ['a', 'b', 'c']));

      for (const expected of ['any', 'no-stream', at(0), at(2), at(9)] as const)
        expect(await appended(journal, append(deluge1, ['a', 'b', 'c'], expected))).toEqual({
          ...first,
          fresh: [false, false, false],
        });

      expect(idsOf(await collect(journal.readAll()))).toEqual(['a', 'b', 'c'].map(idOf));
    });

    it('tells the position of the last event given, not of the stream', async () => {
      const { journal } = await opened(open);
      await appended(journal, append(deluge1, ['a', 'b', 'c']));
      const [, b] = await collect(journal.readStream(deluge1));

      expect(await appended(journal, append(deluge1, ['a', 'b']))).toEqual({
        revision: 2n,
        position: b?.position,
        fresh: [false, false],
      });
    });
  });
}

function describePartsThatAreThere(open: OpenJournal): void {
  it('records the rest when a part is there and the belief is of before the first try', async () => {
    const { journal } = await opened(open);
    await appended(journal, append(deluge1, ['a', 'b', 'c'], 'no-stream'));

    expect(await appended(journal, append(deluge1, ['b', 'c', 'd', 'e'], at(0)))).toMatchObject({
      revision: 4n,
      fresh: [false, false, true, true],
    });
    expect(await appended(journal, append(deluge1, ['a', 'b', 'c', 'd', 'e', 'f'], 'no-stream'))).toMatchObject({
      revision: 5n,
      fresh: [false, false, false, false, false, true],
    });
    expect(idsOf(await collect(journal.readStream(deluge1)))).toEqual(['a', 'b', 'c', 'd', 'e', 'f'].map(idOf));
  });

  it('records the rest when the belief is of after the first try', async () => {
    const { journal } = await opened(open);
    await appended(journal, append(deluge1, ['a', 'b', 'c'], 'no-stream'));

    expect(await appended(journal, append(deluge1, ['b', 'c', 'd'], at(2)))).toMatchObject({ revision: 3n });
  });

  it("refuses the rest when someone else's event stands beyond the belief, and records nothing", async () => {
    const { journal } = await opened(open);
    await appended(journal, append(deluge1, ['a', 'foreign', 'b']));

    expect(await journal.append(append(deluge1, ['a', 'b', 'c'], 'no-stream'))).toEqual({
      ok: false,
      failure: { type: 'wrong-expected-revision', stream: deluge1, expected: 'no-stream', actual: 2n },
    });
    expect(await collect(journal.readStream(deluge1))).toHaveLength(3);
  });
}

function describeSameIds(open: OpenJournal): void {
  it('records an id that comes twice in one append once, and keeps the first', async () => {
    const { journal } = await opened(open);
    const again = { ...event('a'), data: { name: 'another' } };

    const result = await appended(journal, {
      stream: deluge1,
      events: [event('a'), event('b'), again],
      expected: 'no-stream',
    });

    const recorded = await collect(journal.readStream(deluge1));
    expect(result).toEqual({ revision: 1n, position: recorded[0]?.position, fresh: [true, true, false] });
    expect(recorded.map(({ data }) => data)).toEqual([event('a').data, event('b').data]);
  });

  it('takes the same id in another stream for another event', async () => {
    const { journal } = await opened(open);
    await appended(journal, append(deluge1, ['a']));

    expect(await appended(journal, append(deluge2, ['a'], 'no-stream'))).toMatchObject({ fresh: [true] });
    expect(await collect(journal.readAll())).toHaveLength(2);
  });

  it('recognises an id as far back as it promises', async () => {
    const { journal } = await opened(open);
    const names = upTo(recognised_events);
    for (let start = 0; start < names.length; start += 1_024)
      taken(await journal.append(append(deluge1, names.slice(start, start + 1_024))));

    expect(await appended(journal, append(deluge1, [0, 1, 'new'], at(recognised_events - 1)))).toMatchObject({
      revision: BigInt(recognised_events),
      fresh: [false, false, true],
    });
  });
}

function describeAnyCutting(open: OpenJournal): void {
  it('gives the same stream however an at-least-once source cuts and repeats it', async () => {
    const { journal } = await opened(open);
    let run = 0;

    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.record({ back: fc.nat(6), length: fc.integer({ min: 1, max: 9 }) }), { maxLength: 12 }),
        async (deliveries) => {
          run += 1;
          const stream = streamName('cut', `run-${run}`);
          let end = 0;
          for (const { back, length } of deliveries) {
            const start = Math.max(0, end - back);
            const expected = start === 0 ? 'no-stream' : at(start - 1);
            const names = upTo(length).map((offset) => start + offset);
            const { fresh } = await appended(journal, append(stream, names, expected));
            expect(fresh).toEqual(names.map((name) => name >= end));
            end = Math.max(end, start + length);
          }
          expect(idsOf(await collect(journal.readStream(stream)))).toEqual(upTo(end).map(idOf));
        },
      ),
      { numRuns: runs },
    );
  });
}
