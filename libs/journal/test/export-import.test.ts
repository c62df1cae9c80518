import { describe, expect, it } from 'vitest';
import { instant } from '@tidemark/kernel';
import type { Append, RecordedEvent, Revision, StreamName } from '@tidemark/journal';
import {
  chainHash,
  deriveEventId,
  exportJournal,
  importJournal,
  MemoryJournal,
  streamName,
  streamPrefix,
} from '@tidemark/journal';

const deluge1 = streamName('riser', 'quayside-cold-store', 'deluge-1');
const finding1 = streamName('finding', 'quayside-cold-store', 'deluge-1');

const append = (stream: StreamName, ...names: readonly string[]): Append => ({
  stream,
  events: names.map((name) => ({ id: deriveEventId(['export', name]), type: 'reading-observed', data: { name } })),
  expected: 'any',
});

const journal = (): MemoryJournal => new MemoryJournal({ clock: () => instant(1_772_439_247_120) });

async function filled(...appends: readonly Append[]): Promise<MemoryJournal> {
  const full = journal();
  await full.appendAll(appends);
  return full;
}

const example = (): Promise<MemoryJournal> =>
  filled(append(deluge1, 'a', 'b'), append(finding1, 'x'), append(deluge1, 'c'), append(finding1, 'y'));

async function collect<Value>(values: AsyncIterable<Value>): Promise<readonly Value[]> {
  const collected: Value[] = [];
  for await (const value of values) collected.push(value);
  return collected;
}

const linesOf = async (source: MemoryJournal): Promise<readonly string[]> => await collect(exportJournal(source));
const eventsOf = async (source: MemoryJournal): Promise<readonly RecordedEvent[]> => await collect(source.readAll());

/** The lines with one of them replaced; lines are counted from 1. */
const withLine = (lines: readonly string[], line: number, change: (text: string) => string): readonly string[] =>
  lines.map((text, index) => (index === line - 1 ? change(text) : text));

const refused = (line: number, reason: string) => ({ ok: false, failure: { type: 'import-refused', line, reason } });

describe('an export', () => {
  it('holds a first line, a line per event in order, and a last line with their number', async () => {
    const lines = await linesOf(await filled(append(deluge1, 'a')));

    const [recorded] = await eventsOf(await filled(append(deluge1, 'a')));
    expect(lines.map((line) => JSON.parse(line) as unknown)).toEqual([
      { 'tidemark-journal': 1 },
      {
        stream: 'riser/quayside-cold-store/deluge-1',
        revision: '0',
        id: deriveEventId(['export', 'a']),
        type: 'reading-observed',
        data: { name: 'a' },
        metadata: {},
        recordedAt: '2026-03-02T08:14:07.120Z',
        hash: recorded?.hash,
      },
      { events: 1 },
    ]);
  });

  it('may hold the streams of a prefix only', async () => {
    const lines = await collect(exportJournal(await example(), { prefixes: [streamPrefix('finding')] }));

    const target = journal();
    expect(await importJournal(target, lines)).toEqual({ ok: true, value: { events: 2, recorded: 2, streams: 1 } });
    expect(await target.verify()).toEqual({ ok: true, value: { events: 2, streams: 1 } });
  });

  it('may continue an earlier one', async () => {
    const source = await example();
    const [, second] = await eventsOf(source);
    const all = await linesOf(source);
    if (second === undefined) throw new RangeError('two events were recorded');
    const rest = await collect(exportJournal(source, { after: second.position }));
    const target = journal();

    expect(await importJournal(target, rest)).toMatchObject(refused(3, 'missing'));
    const empty = journal();
    expect(await importJournal(empty, [...all.slice(0, 3), '{"events":2}'])).toMatchObject({ ok: true });
    expect(await importJournal(empty, rest)).toEqual({ ok: true, value: { events: 3, recorded: 3, streams: 2 } });
    expect(await linesOf(empty)).toEqual(all);
  });
});

describe('an import', () => {
  it('gives the same events, and again changes nothing', async () => {
    const source = await example();
    const target = journal();

    expect(await importJournal(target, exportJournal(source))).toEqual({
      ok: true,
      value: { events: 5, recorded: 5, streams: 2 },
    });
    expect(await importJournal(target, exportJournal(source))).toEqual({
      ok: true,
      value: { events: 5, recorded: 0, streams: 2 },
    });
    expect(await eventsOf(target)).toEqual(await eventsOf(source));
  });

  it('takes over the times of the source, not its own', async () => {
    const target = new MemoryJournal({ clock: () => instant(0) });
    await importJournal(target, exportJournal(await example()));

    expect((await eventsOf(target)).map(({ recordedAt }) => recordedAt)).toEqual(
      [0, 1, 2, 3, 4].map(() => 1_772_439_247_120),
    );
  });

  it('adds what is new to a journal that holds the beginning, and leaves one that holds more', async () => {
    const target = await filled(append(deluge1, 'a'));
    const lines = await linesOf(await example());

    expect(await importJournal(target, lines)).toMatchObject({ value: { recorded: 4 } });
    await target.append(append(deluge1, 'later'));
    expect(await importJournal(target, lines)).toMatchObject({ value: { recorded: 0 } });
  });

  it('takes a file that ends with a line break', async () => {
    expect(await importJournal(journal(), [...(await linesOf(await example())), ''])).toMatchObject({ ok: true });
  });

  it.each([
    ['data', (text: string) => text.replace('"name":"b"', '"name":"B"')],
    ['type', (text: string) => text.replace('reading-observed', 'reading-denied')],
    ['id', (text: string) => text.replace(deriveEventId(['export', 'b']), deriveEventId(['export', 'B']))],
    ['metadata', (text: string) => text.replace('"metadata":{}', '"metadata":{"schema":2}')],
    ['time', (text: string) => text.replace('07.120Z', '07.121Z')],
    ['stream', (text: string) => text.replace('deluge-1', 'deluge-2').replace('"revision":"1"', '"revision":"0"')],
    ['hash', (text: string) => text.replace(/"hash":"[0-9a-f]{64}"/, `"hash":"${'0'.repeat(64)}"`)],
  ])('refuses an event whose %s was changed, by line, and keeps those before it', async (_, change) => {
    const lines = await linesOf(await example());
    const target = journal();

    expect(await importJournal(target, withLine(lines, 3, change))).toMatchObject(refused(3, 'changed'));
    expect((await eventsOf(target)).map(({ data }) => data)).toEqual([{ name: 'a' }]);
  });

  it('refuses a gap, a swap and a repeat within a stream', async () => {
    const [head = '', a = '', b = '', x = '', c = '', y = '', end = ''] = await linesOf(await example());

    expect(await importJournal(journal(), [head, a, x, c, y, '{"events":4}'])).toMatchObject(refused(4, 'changed'));
    expect(await importJournal(journal(), [head, b, a, x, c, y, end])).toMatchObject(refused(2, 'missing'));
    expect(await importJournal(journal(), [head, a, a, x, c, y, end])).toMatchObject(refused(3, 'changed'));
  });

  it.each([
    ['no JSON', '{', 'malformed'],
    ['an array', '[]', 'malformed'],
    ['an empty line', '', 'malformed'],
    ['a second first line', '{"tidemark-journal":1}', 'malformed'],
    ['a last line that counts otherwise', '{"events":3}', 'cut-off'],
    ['an event without a stream', '{"revision":"0"}', 'malformed'],
  ])('names a line that is %s', async (_, text, reason) => {
    const lines = await linesOf(await example());

    expect(
      await importJournal(
        journal(),
        withLine(lines, 4, () => text),
      ),
    ).toMatchObject(refused(4, reason));
  });

  it.each([
    ['stream', '"Riser"'],
    ['revision', '0'],
    ['revision', '"01"'],
    ['id', '"a"'],
    ['type', '"a b"'],
    ['data', '[]'],
    ['metadata', 'null'],
    ['recordedAt', '"yesterday"'],
    ['hash', '"0"'],
  ])('names a line whose %s is %s', async (key, value) => {
    const lines = await linesOf(await example());
    const change = (text: string): string =>
      JSON.stringify({ ...(JSON.parse(text) as object), [key]: JSON.parse(value) as unknown });

    const result = await importJournal(journal(), withLine(lines, 2, change));

    expect(result).toMatchObject(refused(2, 'malformed'));
    expect(!result.ok && result.failure.expected).toContain(key);
  });

  it('refuses a file of another version, and one that does not begin as an export', async () => {
    const lines = await linesOf(await example());

    expect(
      await importJournal(
        journal(),
        withLine(lines, 1, () => '{"tidemark-journal":2}'),
      ),
    ).toMatchObject(refused(1, 'malformed'));
    expect(await importJournal(journal(), lines.slice(1))).toMatchObject(refused(1, 'malformed'));
    expect(await importJournal(journal(), [])).toMatchObject(refused(1, 'cut-off'));
  });

  it('notices a file that was cut off or goes on', async () => {
    const lines = await linesOf(await example());
    const target = journal();

    expect(await importJournal(target, lines.slice(0, -1))).toMatchObject(refused(7, 'cut-off'));
    expect(await eventsOf(target)).toHaveLength(5);
    expect(await importJournal(journal(), [...lines.slice(0, -2), ...lines.slice(-1)])).toMatchObject(
      refused(6, 'cut-off'),
    );
    expect(await importJournal(journal(), [...lines, ...lines])).toMatchObject(refused(8, 'cut-off'));
  });

  it('refuses to join a stream that holds something else, and adds nothing to it', async () => {
    const lines = await linesOf(await example());
    const other = await filled(append(deluge1, 'other'));

    expect(await importJournal(other, lines)).toMatchObject(refused(2, 'conflict'));
    expect(await eventsOf(other)).toHaveLength(1);
  });

  it('refuses it also where the journal holds more than the file', async () => {
    const lines = await linesOf(await filled(append(deluge1, 'a')));
    const other = await filled(append(deluge1, 'other', 'a'));

    expect(await importJournal(other, lines)).toMatchObject(refused(2, 'conflict'));
    expect(await eventsOf(other)).toHaveLength(2);
  });

  it('refuses an id that comes twice in a stream', async () => {
    const [head = '', first = ''] = await linesOf(await filled(append(deluge1, 'a')));
    const [a] = await eventsOf(await filled(append(deluge1, 'a')));
    if (a === undefined) throw new RangeError('an event was recorded');
    const again = { ...a, revision: 1n as Revision };
    const second = { ...(JSON.parse(first) as object), revision: '1', hash: chainHash(a.hash, again) };

    const result = await importJournal(journal(), [head, first, JSON.stringify(second), '{"events":2}']);

    expect(result).toMatchObject(refused(3, 'conflict'));
  });
});
