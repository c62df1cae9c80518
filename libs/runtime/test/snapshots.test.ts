import { mkdtemp, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Position } from '@tidemark/journal';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Capture, SnapshotStore } from '../src/index.ts';
import { FileSnapshots, MemorySnapshots, SnapshotKeeper, structuredCodec } from '../src/index.ts';
import { clockAt, until } from './support.ts';

interface Riser {
  readonly points: ReadonlyMap<string, { readonly since: number | undefined }>;
  readonly sequence: bigint;
  readonly earlier: readonly unknown[];
}

const point = { since: undefined };
const state: Riser = {
  points: new Map<string, { readonly since: number | undefined }>([
    ['1', point],
    ['2', { since: -0 }],
  ]),
  sequence: 2n ** 70n,
  earlier: [point, point],
};
const capture: Capture<Riser> = {
  position: 16n as Position,
  states: new Map([
    ['site/deluge-1', state],
    ['site/deluge-2', state],
  ]),
};

const keeperOf = (store: SnapshotStore, over: Partial<ConstructorParameters<typeof SnapshotKeeper<Riser>>[0]> = {}) => {
  const time = clockAt();
  const keeper = new SnapshotKeeper<Riser>({
    store,
    codec: structuredCodec(),
    version: 'fold 1',
    capture: () => capture,
    settled: () => Promise.resolve(true),
    timer: time,
    every_ms: 1_000,
    ...over,
  });
  return { keeper, time };
};

describe('a snapshot keeper', () => {
  it('gives back the states it stored, maps, big integers, absent members and shared parts included', async () => {
    const { keeper } = keeperOf(new MemorySnapshots());

    await keeper.save();
    const loaded = await keeper.load(capture.position);

    expect(loaded).toStrictEqual({ ok: true, value: capture });
    const back = loaded.ok ? loaded.value.states.get('site/deluge-1') : undefined;
    expect(back?.points.get('1')).toBe(back?.earlier[1]);
  });

  it('gives nothing where there is none, it is of another fold, or the journal does not reach so far', async () => {
    const store = new MemorySnapshots();
    const { keeper } = keeperOf(store);
    expect(await keeper.load(99n as Position)).toEqual({ ok: false, failure: 'absent' });

    await keeper.save();

    expect(await keeperOf(store, { version: 'fold 2' }).keeper.load(16n as Position)).toEqual({
      ok: false,
      failure: 'other-version',
    });
    expect(await keeper.load(15n as Position)).toEqual({ ok: false, failure: 'ahead-of-journal' });
    expect(await keeper.load(undefined)).toEqual({ ok: false, failure: 'ahead-of-journal' });
  });

  it('stores what was captured only when everything that follows from it is durable', async () => {
    const store = new MemorySnapshots();
    let settle: ((isSettled: boolean) => void) | undefined;
    const { keeper } = keeperOf(store, { settled: () => new Promise((resolve) => (settle = resolve)) });

    const given = keeper.save();
    settle!(false);
    await given;
    expect(await store.load()).toBeUndefined();
    const saved = keeper.save();
    expect(await store.load()).toBeUndefined();
    settle!(true);
    await saved;

    expect((await store.load())?.position).toBe(16n);
  });

  it('stores again and again until it is stopped', async () => {
    let saves = 0;
    const store: SnapshotStore = {
      load: () => Promise.resolve(undefined),
      save: () => Promise.resolve(void (saves += 1)),
    };
    const { keeper, time } = keeperOf(store);
    keeper.start();

    for (const count of [1, 2]) {
      time.advance(1_000);
      await until(() => saves === count && time.waiting === 1);
    }
    await keeper.stop();
    time.advance(10_000);

    expect({ saves, waiting: time.waiting }).toEqual({ saves: 2, waiting: 0 });
  });

  it('goes on without a store that fails, and says so', async () => {
    const store: SnapshotStore = {
      load: () => Promise.reject(new Error('no such disk')),
      save: () => Promise.reject(new Error('disk full')),
    };
    const { keeper } = keeperOf(store);

    await keeper.save();
    expect(keeper.lastError).toBe('disk full');
    expect(await keeper.load(16n as Position)).toEqual({ ok: false, failure: 'unreadable' });

    expect(keeper.lastError).toBe('no such disk');
  });
});

describe('snapshots in a file', () => {
  let folder = '';
  beforeEach(async () => (folder = await mkdtemp(join(tmpdir(), 'tidemark-snapshots-'))));
  afterEach(() => rm(folder, { recursive: true }));

  const snapshot = {
    version: 'fold 1',
    position: 8n as Position,
    states: new Map([
      ['a', new Uint8Array([1, 10, 3])],
      ['b', new Uint8Array()],
    ]),
  };

  it('come back as they were stored, and the newer replaces the older', async () => {
    const store = new FileSnapshots(join(folder, 'twin.snapshot'));
    expect(await store.load()).toBeUndefined();

    await store.save({ ...snapshot, position: 4n as Position });
    await store.save(snapshot);

    const loaded = await store.load();
    expect({ ...loaded, states: [...loaded!.states].map(([key, bytes]) => [key, [...bytes]]) }).toEqual({
      ...snapshot,
      states: [
        ['a', [1, 10, 3]],
        ['b', []],
      ],
    });
    expect((await stat(join(folder, 'twin.snapshot'))).mode & 0o777).toBe(0o600);
  });

  it.each([
    ['cut off', (bytes: Buffer) => bytes.subarray(0, -1)],
    ['changed', (bytes: Buffer) => Buffer.concat([bytes.subarray(0, -1), Buffer.from([99])])],
    ['something else', () => Buffer.from('hello\n')],
    ['empty', () => Buffer.alloc(0)],
  ])('are refused when the file is %s', async (_what, damage) => {
    const path = join(folder, 'twin.snapshot');
    const store = new FileSnapshots(path);
    await store.save(snapshot);

    await writeFile(path, damage(await readFile(path)));

    await expect(store.load()).rejects.toMatchObject({ code: 'snapshot-damaged' });
  });
});
