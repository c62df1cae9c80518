import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InvariantViolated } from '@tidemark/kernel';
import type { OpenJournal } from '../contract.ts';
import type { Journal, ReadAll, ReadStream, RecordedEvent } from '../journal.ts';
import {
  append,
  appended,
  at,
  collect,
  deluge1,
  deluge2,
  finding1,
  findings,
  idOf,
  idsOf,
  neighbours,
  opened,
  positionsOf,
  recordThreeStreams,
  risers,
  upTo,
} from './material.ts';

/** More than any adapter reads at a time, as far as we know them. */
const manyPages = 1_700;

export function describeReading(open: OpenJournal): void {
  describe('when reading', () => {
    describeStreamReads(open);
    describeJournalReads(open);
    describeChosenParts(open);
    describeReadsWhileAppending(open);
  });
}

function describeStreamReads(open: OpenJournal): void {
  it('finds nothing in a stream that does not exist, from anywhere', async () => {
    const { journal } = await opened(open);
    await appended(journal, append(deluge1, ['a']));

    expect(await collect(journal.readStream(deluge2))).toEqual([]);
    expect(await collect(journal.readStream(deluge2, { direction: 'backward' }))).toEqual([]);
    expect(await collect(journal.readStream(deluge2, { from: at(3) }))).toEqual([]);
  });

  it('reads a stream of many pages whole, in order, in both directions', async () => {
    const { journal } = await opened(open);
    await recordThreeStreams(journal, manyPages);
    const ids = upTo(manyPages)
      .filter((number) => number % 3 === 0)
      .map(idOf);

    const forward = await collect(journal.readStream(deluge1));
    const backward = await collect(journal.readStream(deluge1, { direction: 'backward' }));

    expect(idsOf(forward)).toEqual(ids);
    expect(forward.map(({ revision }) => Number(revision))).toEqual(upTo(ids.length));
    expect(backward).toEqual(forward.toReversed());
  });

  it('reads any part of a stream that is asked for', async () => {
    const { journal } = await opened(open);
    await recordThreeStreams(journal, 30);
    const stream = await collect(journal.readStream(deluge1));

    await fc.assert(
      fc.asyncProperty(direction, fc.option(fc.nat(13), { nil: undefined }), limits, async (way, from, limit) => {
        const options = {
          direction: way,
          ...defined({ from: from === undefined ? undefined : at(from), limit }),
        } as ReadStream;
        const inOrder = way === 'forward' ? stream : stream.toReversed();
        const wanted = inOrder.filter(
          ({ revision }) => from === undefined || (way === 'forward' ? revision >= from : revision <= from),
        );

        expect(await collect(journal.readStream(deluge1, options))).toEqual(wanted.slice(0, limit));
      }),
    );
  });

  it.each([-1, 0.5, Number.NaN])('treats a limit of %s as a bug', async (limit) => {
    const { journal } = await opened(open);

    await expect(collect(journal.readStream(deluge1, { limit }))).rejects.toThrow(InvariantViolated);
    await expect(collect(journal.readAll({ limit }))).rejects.toThrow(InvariantViolated);
  });
}

function describeJournalReads(open: OpenJournal): void {
  it('finds nothing in an empty journal, which has no head', async () => {
    const { journal } = await opened(open);

    expect(await collect(journal.readAll())).toEqual([]);
    expect(await collect(journal.readAll({ direction: 'backward' }))).toEqual([]);
    expect(await journal.head()).toBeUndefined();
  });

  it('reads a journal of many pages whole, in the order of recording, in both directions', async () => {
    const { journal } = await opened(open);

    const forward = await recordThreeStreams(journal, manyPages);

    expect(idsOf(forward)).toEqual(upTo(manyPages).map(idOf));
    expect(positionsOf(forward)).toEqual(positionsOf(forward).toSorted((one, other) => (one < other ? -1 : 1)));
    expect(await collect(journal.readAll({ direction: 'backward' }))).toEqual(forward.toReversed());
    expect(await journal.head()).toBe(forward.at(-1)?.position);
  });
}

function describeChosenParts(open: OpenJournal): void {
  it('takes a prefix as whole segments', async () => {
    const { journal } = await opened(open);
    for (const neighbour of neighbours) await appended(journal, append(neighbour, ['neighbour']));
    await appended(journal, append(deluge1, ['own']));

    expect(idsOf(await collect(journal.readAll({ prefixes: [risers] })))).toEqual([idOf('own')]);
  });

  it('finds the few events of a prefix among many others', async () => {
    const { journal } = await opened(open);
    await appended(journal, append(finding1, ['first']));
    for (let start = 0; start < 24_000; start += 3_000)
      await appended(
        journal,
        append(
          deluge1,
          upTo(3_000).map((number) => start + number),
        ),
      );
    await appended(journal, append(finding1, ['last']));

    const found = await collect(journal.readAll({ prefixes: [findings] }));

    expect(idsOf(found)).toEqual(['first', 'last'].map(idOf));
    expect(await collect(journal.readAll({ prefixes: [findings], direction: 'backward' }))).toEqual(found.toReversed());
  });

  it('reads any part of the journal that is asked for', async () => {
    const { journal } = await opened(open);
    const all = await recordThreeStreams(journal, 30);

    await fc.assert(
      fc.asyncProperty(
        direction,
        fc.option(fc.nat(29), { nil: undefined }),
        limits,
        prefixSets,
        async (way, index, limit, prefixes) => {
          const after = index === undefined ? undefined : all[index]?.position;
          const options = { direction: way, ...defined({ after, limit, prefixes }) } as ReadAll;
          const isBeyond = ({ position }: RecordedEvent): boolean =>
            after === undefined || (way === 'forward' ? position > after : position < after);
          const inOrder = way === 'forward' ? all : all.toReversed();
          const wanted = inOrder
            .filter(isBeyond)
            .filter(({ stream }) => prefixes === undefined || prefixes.some((prefix) => stream.startsWith(prefix)));

          expect(await collect(journal.readAll(options))).toEqual(wanted.slice(0, limit));
        },
      ),
    );
  });
}

function describeReadsWhileAppending(open: OpenJournal): void {
  it('reads without a gap or a repeat, and to an end, while others append', async () => {
    const { journal } = await opened(open);
    const before = await recordThreeStreams(journal, manyPages);

    const read: RecordedEvent[] = [];
    const appending: Promise<unknown>[] = [];
    for await (const event of journal.readAll()) {
      read.push(event);
      appending.push(journal.append(append(deluge1, [`during-${read.length}`])));
    }
    await Promise.all(appending);

    const all = await collect(journal.readAll());
    expect(read.length).toBeGreaterThanOrEqual(before.length);
    expect(read).toEqual(all.slice(0, read.length));
  });

  it('lets a reader leave early and the journal go on', async () => {
    const { journal } = await opened(open);
    await recordThreeStreams(journal, manyPages);

    expect(idsOf(await firstOf(journal))).toEqual([idOf(0)]);
    expect(await appended(journal, append(deluge1, ['new']))).toMatchObject({ fresh: [true] });
  });
}

async function firstOf(journal: Journal): Promise<readonly RecordedEvent[]> {
  for await (const event of journal.readAll()) return [event];
  return [];
}

const direction = fc.constantFrom('forward', 'backward');
const limits = fc.option(fc.nat(35), { nil: undefined });
const prefixSets = fc.option(fc.subarray([risers, findings]), { nil: undefined });

/** Leaves out what is undefined, since an absent option is absent. */
const defined = (options: Readonly<Record<string, unknown>>): object =>
  Object.fromEntries(Object.entries(options).filter(([, value]) => value !== undefined));
