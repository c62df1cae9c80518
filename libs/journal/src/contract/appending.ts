import { describe, expect, it } from 'vitest';
import { InvariantViolated } from '@tidemark/kernel';
import type { OpenJournal } from '../contract.ts';
import type { ExpectedRevision, StreamName } from '../journal.ts';
import { appendAllLimit_appends, appendLimit_bytes } from '../journal.ts';
import {
  append,
  appended,
  at,
  collect,
  deluge1,
  deluge2,
  event,
  events,
  finding1,
  idOf,
  idsOf,
  opened,
  taken,
  upTo,
} from './material.ts';

export function describeAppending(open: OpenJournal): void {
  describe('when appending', () => {
    describeExpectedRevisions(open);
    describeLimits(open);
    describeManyAppends(open);
    describeWhatIsKept(open);

    it('gives back what was recorded, in order, with revisions from 0 and rising positions', async () => {
      const { journal } = await opened(open);

      const result = await appended(journal, append(deluge1, ['a', 'b', 'c'], 'no-stream'));

      const recorded = await collect(journal.readStream(deluge1));
      expect(recorded.map(({ id, type, data, metadata }) => ({ id, type, data, metadata }))).toEqual(
        events('a', 'b', 'c'),
      );
      expect(recorded.map(({ stream, revision }) => [stream, revision])).toEqual([
        [deluge1, 0n],
        [deluge1, 1n],
        [deluge1, 2n],
      ]);
      expect(
        recorded.every(({ position }, index) => index === 0 || position > (recorded[index - 1]?.position ?? 0n)),
      ).toBe(true);
      expect(result).toEqual({ revision: 2n, position: recorded[2]?.position, fresh: [true, true, true] });
    });

    it('records an event without metadata with empty metadata', async () => {
      const { journal } = await opened(open);

      await appended(journal, {
        stream: deluge1,
        events: [{ id: idOf('a'), type: 'reset', data: {} }],
        expected: 'any',
      });

      const [recorded] = await collect(journal.readStream(deluge1));
      expect(recorded?.metadata).toEqual({});
    });
  });
}

function describeWhatIsKept(open: OpenJournal): void {
  it('keeps the order in which single appends were called', async () => {
    const { journal } = await opened(open);

    await Promise.all(upTo(50).map((number) => journal.append(append(number % 2 === 0 ? deluge1 : deluge2, [number]))));

    expect(idsOf(await collect(journal.readAll()))).toEqual(upTo(50).map(idOf));
  });

  it('keeps what was given though the caller changes it afterwards', async () => {
    const { journal } = await opened(open);
    const data = { label: 'as given' };

    const appending = journal.append({ stream: deluge1, events: [{ ...event('a'), data }], expected: 'any' });
    data.label = 'changed later';
    taken(await appending);

    const [recorded] = await collect(journal.readStream(deluge1));
    expect(recorded?.data).toEqual({ label: 'as given' });
  });

  it('keeps the time that an import gives', async () => {
    const { journal } = await opened(open);
    const [before] = await collect(journal.readStream(deluge1));
    expect(before).toBeUndefined();
    await appended(journal, append(deluge1, ['clock']));
    const [stamped] = await collect(journal.readStream(deluge1));
    const recordedAt = ((stamped?.recordedAt ?? 0) - 86_400_000) as NonNullable<typeof stamped>['recordedAt'];

    await appended(journal, { stream: deluge2, events: [{ ...event('a'), recordedAt }], expected: 'any' });

    const [recorded] = await collect(journal.readStream(deluge2));
    expect(recorded?.recordedAt).toBe(recordedAt);
  });

  it('lets one of two writers win when both expect the same revision', async () => {
    const { journal } = await opened(open);
    await appended(journal, append(deluge1, ['a']));

    const results = await Promise.all([
      journal.append(append(deluge1, ['left'], at(0))),
      journal.append(append(deluge1, ['right'], at(0))),
    ]);

    expect(results.filter(({ ok }) => ok)).toHaveLength(1);
    expect(results.find(({ ok }) => !ok)).toEqual(wrong(deluge1, at(0), at(1)));
    expect(await collect(journal.readStream(deluge1))).toHaveLength(2);
  });
}

function describeExpectedRevisions(open: OpenJournal): void {
  describe('with an expected revision', () => {
    const present = [
      ['any', true],
      ['no-stream', false],
      [at(0), false],
      [at(1), true],
      [at(2), false],
    ] as const;
    const absent = [
      ['any', true],
      ['no-stream', true],
      [at(0), false],
    ] as const;

    it.each(absent)('on an absent stream, %s is taken: %s', async (expected, isTaken) => {
      const { journal } = await opened(open);

      const result = await journal.append(append(deluge1, ['new'], expected));

      if (isTaken) expect(taken(result)).toMatchObject({ revision: 0n, fresh: [true] });
      else expect(result).toEqual(wrong(deluge1, expected, 'no-stream'));
      expect(await collect(journal.readStream(deluge1))).toHaveLength(isTaken ? 1 : 0);
    });

    it.each(present)('on a stream that ends at 1, %s is taken: %s', async (expected, isTaken) => {
      const { journal } = await opened(open);
      await appended(journal, append(deluge1, ['a', 'b']));

      const result = await journal.append(append(deluge1, ['new'], expected));

      if (isTaken) expect(taken(result)).toMatchObject({ revision: 2n, fresh: [true] });
      else expect(result).toEqual(wrong(deluge1, expected, at(1)));
      expect(await collect(journal.readStream(deluge1))).toHaveLength(isTaken ? 3 : 2);
    });

    it('asks about its own stream only', async () => {
      const { journal } = await opened(open);
      await appended(journal, append(deluge1, ['a', 'b']));

      expect(await appended(journal, append(deluge2, ['a'], 'no-stream'))).toMatchObject({ revision: 0n });
    });
  });
}

function describeLimits(open: OpenJournal): void {
  const sized = (length: number) => ({
    stream: deluge1,
    events: [{ ...event('large'), data: { text: 'x'.repeat(length) } }],
  });

  it('refuses an append above the limit and records nothing of it', async () => {
    const { journal } = await opened(open);

    const result = await journal.append({ ...sized(appendLimit_bytes), expected: 'any' });

    expect(result).toEqual({
      ok: false,
      failure: { type: 'append-too-large', stream: deluge1, limit_bytes: appendLimit_bytes },
    });
    expect(await journal.head()).toBeUndefined();
  });

  it('takes an append just below the limit', async () => {
    const { journal } = await opened(open);

    const result = await journal.append({ ...sized(appendLimit_bytes - 1_000), expected: 'any' });

    expect(taken(result).fresh).toEqual([true]);
  });

  it('counts bytes, not characters', async () => {
    const { journal } = await opened(open);
    const data = { text: '€'.repeat(appendLimit_bytes / 2) };

    const result = await journal.append({ stream: deluge1, events: [{ ...event('large'), data }], expected: 'any' });

    expect(result).toMatchObject({ ok: false, failure: { type: 'append-too-large' } });
  });

  const malformed = [
    ['carries no event', { stream: deluge1, events: [], expected: 'any' }],
    ['names no well-formed stream', { stream: 'Riser 1' as StreamName, events: events('a'), expected: 'any' }],
    ['expects a negative revision', { stream: deluge1, events: events('a'), expected: at(-1) }],
    ['has an id that is no UUID', { stream: deluge1, events: [{ ...event('a'), id: 'a' as never }], expected: 'any' }],
    ['has a type with a space', { stream: deluge1, events: [{ ...event('a'), type: 'water flow' }], expected: 'any' }],
  ] as const;

  it.each(malformed)('treats an append that %s as a bug', async (_, given) => {
    const { journal } = await opened(open);

    await expect(journal.append(given)).rejects.toThrow(InvariantViolated);
    expect(await journal.head()).toBeUndefined();
  });

  it('treats more appends than appendAll takes as a bug', async () => {
    const { journal } = await opened(open);
    const appends = upTo(appendAllLimit_appends + 1).map((number) => append(deluge1, [number]));

    await expect(journal.appendAll(appends)).rejects.toThrow(InvariantViolated);
    expect(await journal.head()).toBeUndefined();
  });
}

function describeManyAppends(open: OpenJournal): void {
  describe('many at once', () => {
    it('gives the results in order, and a refused append harms no other', async () => {
      const { journal } = await opened(open);

      const results = await journal.appendAll([
        append(deluge1, ['a'], 'no-stream'),
        append(deluge2, ['b'], at(7)),
        {
          stream: finding1,
          events: [{ ...event('large'), data: { text: 'x'.repeat(appendLimit_bytes) } }],
          expected: 'any',
        },
        append(finding1, ['c', 'd'], 'no-stream'),
      ]);

      const [a, c, d] = await collect(journal.readAll());
      expect(results).toEqual([
        { ok: true, value: { revision: 0n, position: a?.position, fresh: [true] } },
        wrong(deluge2, at(7), 'no-stream'),
        { ok: false, failure: { type: 'append-too-large', stream: finding1, limit_bytes: appendLimit_bytes } },
        { ok: true, value: { revision: 1n, position: d?.position, fresh: [true, true] } },
      ]);
      expect(c?.id).toBe(idOf('c'));
    });

    it('lets a later append to a stream see the earlier one', async () => {
      const { journal } = await opened(open);

      const results = await journal.appendAll([
        append(deluge1, ['a', 'b'], 'no-stream'),
        append(deluge1, ['c'], 'no-stream'),
        append(deluge1, ['b', 'd'], at(1)),
      ]);

      expect(results.map((result) => (result.ok ? result.value.fresh : result.failure.type))).toEqual([
        [true, true],
        'wrong-expected-revision',
        [false, true],
      ]);
      expect(idsOf(await collect(journal.readStream(deluge1)))).toEqual(['a', 'b', 'd'].map(idOf));
    });

    it('does nothing with none', async () => {
      const { journal } = await opened(open);

      expect(await journal.appendAll([])).toEqual([]);
      expect(await journal.head()).toBeUndefined();
    });
  });
}

const wrong = (stream: StreamName, expected: ExpectedRevision, actual: ExpectedRevision) => ({
  ok: false,
  failure: { type: 'wrong-expected-revision', stream, expected, actual },
});
