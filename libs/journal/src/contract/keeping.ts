import { describe, expect, it } from 'vitest';
import type { OpenJournal } from '../contract.ts';
import { chainHash, genesisHash } from '../chain.ts';
import { exportJournal } from '../export-journal.ts';
import { importJournal } from '../import-journal.ts';
import type { Position } from '../journal.ts';
import { JournalUnavailable } from '../journal.ts';
import {
  append,
  appended,
  at,
  collect,
  deluge1,
  deluge2,
  finding1,
  opened,
  positionsOf,
  recordThreeStreams,
  upTo,
} from './material.ts';

export function describeKeeping(open: OpenJournal): void {
  describe('in keeping the record', () => {
    describeCheckpoints(open);
    describeVerification(open);
    describeTampering(open);
    describeReopening(open);

    it('gives an exported copy the same events and hashes, and an import again changes nothing', async () => {
      const source = await opened(open);
      const target = await opened(open);
      await recordThreeStreams(source.journal, 1_100);
      const lines = await collect(exportJournal(source.journal));

      const first = await importJournal(target.journal, lines);
      const again = await importJournal(target.journal, lines);

      expect(first).toEqual({ ok: true, value: { events: 1_100, recorded: 1_100, streams: 3 } });
      expect(again).toEqual({ ok: true, value: { events: 1_100, recorded: 0, streams: 3 } });
      expect(await collect(exportJournal(target.journal))).toEqual(lines);
      expect(await target.journal.verify()).toEqual({ ok: true, value: { events: 1_100, streams: 3 } });
    });
  });
}

function describeCheckpoints(open: OpenJournal): void {
  it('has no checkpoint under a name nobody wrote', async () => {
    const { journal } = await opened(open);
    await journal.writeCheckpoint('twin', 3n as Position);

    expect(await journal.readCheckpoint('desk')).toBeUndefined();
  });

  it('moves a checkpoint on and never back', async () => {
    const { journal } = await opened(open);
    const [one, two, three] = positionsOf(await recordThreeStreams(journal, 3)) as [Position, Position, Position];

    const seen: (Position | undefined)[] = [];
    for (const position of [two, one, three, three, two]) {
      await journal.writeCheckpoint('twin', position);
      seen.push(await journal.readCheckpoint('twin'));
    }

    expect(seen).toEqual([two, two, three, three, three]);
  });
}

function describeVerification(open: OpenJournal): void {
  it('finds an untouched record unbroken, whole and by stream', async () => {
    const { journal } = await opened(open);
    expect(await journal.verify()).toEqual({ ok: true, value: { events: 0, streams: 0 } });
    await recordThreeStreams(journal, 1_300);

    expect(await journal.verify()).toEqual({ ok: true, value: { events: 1_300, streams: 3 } });
    expect(await journal.verify(deluge1)).toEqual({ ok: true, value: { events: 434, streams: 1 } });
  });

  it('chains each event to the one before it in its stream', async () => {
    const { journal } = await opened(open);
    await recordThreeStreams(journal, 9);

    for (const stream of [deluge1, deluge2, finding1]) {
      let previous = genesisHash;
      for (const event of await collect(journal.readStream(stream))) {
        expect(event.hash).toBe(chainHash(previous, event));
        previous = event.hash;
      }
    }
  });
}

const cannotTamper = 'what this journal keeps cannot be changed behind its back from here';

function describeTampering(open: OpenJournal): void {
  it.for([0, 4, 8])('names event %s when its data was changed', async (index, { skip }) => {
    const { journal, tamper } = await opened(open);
    if (tamper === undefined) return skip(cannotTamper);
    const all = await recordThreeStreams(journal, 9);
    const changed = all[index];
    if (changed === undefined) throw new RangeError('no such event');
    const before = all.findLast(
      ({ stream, revision }) => stream === changed.stream && revision === changed.revision - 1n,
    );

    await tamper(changed, { name: 'changed' });

    const { stream, revision, position, id, hash: found } = changed;
    const expected = chainHash(before?.hash ?? genesisHash, { ...changed, data: { name: 'changed' } });
    const broken = { type: 'broken-chain', reason: 'changed', stream, revision, position, id, expected, found };
    expect(await journal.verify()).toEqual({ ok: false, failure: broken });
    expect(await journal.verify(stream)).toEqual({ ok: false, failure: broken });
    expect(await journal.verify(stream === deluge1 ? deluge2 : deluge1)).toMatchObject({ ok: true });
  });

  it('names the first by position when several were changed', async ({ skip }) => {
    const { journal, tamper } = await opened(open);
    if (tamper === undefined) return skip(cannotTamper);
    const all = await recordThreeStreams(journal, 9);
    for (const index of [7, 2, 5]) {
      const event = all[index];
      if (event !== undefined) await tamper(event, {});
    }

    expect(await journal.verify()).toMatchObject({
      ok: false,
      failure: { position: all[2]?.position, reason: 'changed' },
    });
  });

  it('can be done while others append', async () => {
    const { journal } = await opened(open);
    await recordThreeStreams(journal, 1_300);

    const verifying = journal.verify();
    await Promise.all(upTo(50).map((number) => journal.append(append(deluge1, [`during-${number}`]))));

    expect(await verifying).toMatchObject({ ok: true });
  });
}

function describeReopening(open: OpenJournal): void {
  it('holds the same after it was closed and opened again', async () => {
    const { journal, reopen } = await opened(open);
    const all = await recordThreeStreams(journal, 20);
    await journal.writeCheckpoint('twin', all[7]?.position as Position);
    await journal.close();

    const again = (await opened(async () => ({ journal: await reopen(), reopen }))).journal;

    expect(await collect(again.readAll())).toEqual(all);
    expect(await again.head()).toBe(all.at(-1)?.position);
    expect(await again.readCheckpoint('twin')).toBe(all[7]?.position);
    expect(await again.verify()).toMatchObject({ ok: true, value: { events: 20 } });
    expect(await appended(again, append(deluge1, [18, 'new'], at(6)))).toMatchObject({
      revision: 7n,
      fresh: [false, true],
    });
    expect((await collect(again.readAll())).at(-1)?.position).toBeGreaterThan(all.at(-1)?.position ?? 0n);
  });

  it('finishes what was asked before it closes', async () => {
    const { journal, reopen } = await opened(open);
    const appending = Promise.all(upTo(20).map((number) => journal.append(append(deluge1, [number]))));
    await journal.close();
    await appending;

    const again = await reopen();

    expect(await collect(again.readStream(deluge1))).toHaveLength(20);
    await again.close();
  });

  it('is unavailable once closed, and may be closed again', async () => {
    const { journal } = await opened(open);
    await appended(journal, append(deluge1, ['a']));
    await journal.close();
    await journal.close();

    await expect(journal.append(append(deluge1, ['b']))).rejects.toThrow(JournalUnavailable);
    await expect(collect(journal.readStream(deluge1))).rejects.toThrow(JournalUnavailable);
    await expect(collect(journal.readAll())).rejects.toThrow(JournalUnavailable);
    await expect(journal.head()).rejects.toThrow(JournalUnavailable);
    await expect(journal.verify()).rejects.toThrow(JournalUnavailable);
    await expect(journal.readCheckpoint('twin')).rejects.toThrow(JournalUnavailable);
    await expect(journal.writeCheckpoint('twin', 1n as Position)).rejects.toThrow(JournalUnavailable);
  });
}
