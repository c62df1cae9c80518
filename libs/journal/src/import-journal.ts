import type { Result } from '@tidemark/kernel';
import { fail, ok, unreachable } from '@tidemark/kernel';
import { chainHash, genesisHash } from './chain.ts';
import { exportFormat } from './export-journal.ts';
import type { ExportedEvent } from './export-line.ts';
import { parseExportLine } from './export-line.ts';
import type { Append, Journal, RecordedEvent, Revision, StreamName } from './journal.ts';

/** What an import did. */
export interface Imported {
  /** Events in the file. */
  readonly events: number;
  /** How many of them the journal did not hold yet. */
  readonly recorded: number;
  readonly streams: number;
}

/** The first line that could not be taken. Everything before it is in the journal. */
export interface ImportRefused {
  readonly type: 'import-refused';
  /** 1 for the first. */
  readonly line: number;
  /**
   * `malformed`: not a line of an export. `changed`: its hash does not follow. `missing`: the events before it are
   * neither in the file nor in the journal. `conflict`: the journal holds something else there. `cut-off`: the file
   * ends, or goes on, where it should not.
   */
  readonly reason: 'malformed' | 'changed' | 'missing' | 'conflict' | 'cut-off';
  readonly expected: string;
}

/** Events and characters recorded with one commit. */
const batchLimit_events = 500;
const batchLimit_characters = 8_000_000;

/**
 * Records what an export holds, with the same streams, order, ids, types, data, metadata, times and hashes. Importing
 * the same again, or an export that overlaps with what is there, changes nothing.
 *
 * Checked: each line's form; each event's hash against the one before it in its stream (in the file, or in the journal
 * where the file continues it), so a change, a gap or a swap within a stream is refused; that the journal, where it
 * already holds the stream, holds the same events; the number of events. Not checked, since an export cannot prove it:
 * that whoever wrote it did not compute all hashes anew, that no stream and no end of a stream was left out together
 * with a corrected number, and the order between streams.
 */
export async function importJournal(
  journal: Journal,
  lines: AsyncIterable<string> | Iterable<string>,
): Promise<Result<Imported, ImportRefused>> {
  const run = new ImportRun(journal);
  for await (const line of lines) {
    const refused = await run.take(line);
    if (refused !== undefined) return fail(refused);
  }
  return run.finish();
}

interface StreamProgress {
  /** The last event taken from the file, or what the journal holds before the file's first. */
  revision: bigint;
  hash: string;
  line: number;
  /** Where the journal's stream ended before the import. */
  readonly held: RecordedEvent | undefined;
}

class ImportRun {
  readonly #journal: Journal;
  readonly #streams = new Map<StreamName, StreamProgress>();
  #phase: 'before' | 'inside' | 'after' = 'before';
  #line = 0;
  #events = 0;
  #recorded = 0;
  #batch: { readonly append: Append; readonly line: number }[] = [];
  #batch_characters = 0;

  constructor(journal: Journal) {
    this.#journal = journal;
  }

  async take(text: string): Promise<ImportRefused | undefined> {
    this.#line += 1;
    if (this.#phase === 'after' && text === '') return undefined;
    const refused = await this.#read(text);
    if (refused !== undefined) return (await this.#flush()) ?? refused;
    this.#batch_characters += text.length;
    const full = this.#batch.length >= batchLimit_events || this.#batch_characters >= batchLimit_characters;
    return full ? await this.#flush() : undefined;
  }

  async finish(): Promise<Result<Imported, ImportRefused>> {
    const refused = (await this.#flush()) ?? (await this.#compareEnds());
    if (refused !== undefined) return fail(refused);
    this.#line += 1;
    if (this.#phase !== 'after')
      return fail(this.#refuse('cut-off', 'expected the last line with the number of events'));
    return ok({ events: this.#events, recorded: this.#recorded, streams: this.#streams.size });
  }

  async #read(text: string): Promise<ImportRefused | undefined> {
    if (this.#phase === 'after') return this.#refuse('cut-off', 'expected nothing after the last line');
    const line = parseExportLine(text);
    if (!line.ok) return this.#refuse('malformed', line.failure);
    const isFirst = this.#phase === 'before';
    if (isFirst !== (line.value.type === 'format'))
      return this.#refuse('malformed', `expected ${exportFormat.key} on the first line and only there`);
    this.#phase = 'inside';
    switch (line.value.type) {
      case 'format':
        if (line.value.version === exportFormat.version) return undefined;
        return this.#refuse('malformed', `expected version ${exportFormat.version}`);
      case 'event':
        return await this.#takeEvent(line.value.event);
      case 'end':
        this.#phase = 'after';
        if (line.value.events === this.#events) return undefined;
        return this.#refuse('cut-off', `expected ${line.value.events} events, found ${this.#events}`);
      default:
        return unreachable(line.value);
    }
  }

  async #takeEvent(event: ExportedEvent): Promise<ImportRefused | undefined> {
    const progress = this.#streams.get(event.stream) ?? (await this.#begin(event));
    if (progress === undefined)
      return this.#refuse('missing', `expected the events before revision ${String(event.revision)}`);
    if (event.revision !== progress.revision + 1n)
      return this.#refuse('changed', `expected revision ${String(progress.revision + 1n)}`);
    const expected = chainHash(progress.hash, event);
    if (event.hash !== expected) return this.#refuse('changed', `expected hash ${expected}`);
    const { held } = progress;
    if (held?.revision === event.revision && held.hash !== event.hash)
      return this.#refuse('conflict', `expected hash ${held.hash}, as the journal holds it`);
    if (held === undefined || event.revision > held.revision)
      this.#batch.push({ append: appendOf(event), line: this.#line });
    Object.assign(progress, { revision: event.revision, hash: event.hash, line: this.#line });
    this.#events += 1;
    return undefined;
  }

  /** Finds what stands before the file's first event of a stream; nothing when it is missing. */
  async #begin({ stream, revision }: ExportedEvent): Promise<StreamProgress | undefined> {
    const held = await first(this.#journal.readStream(stream, { direction: 'backward', limit: 1 }));
    const hash = revision === 0n ? genesisHash : (await this.#at(stream, revision - 1n))?.hash;
    if (hash === undefined) return undefined;
    const progress = { revision: revision - 1n, hash, line: this.#line, held };
    this.#streams.set(stream, progress);
    return progress;
  }

  /** Where the file ends before the journal does, the events in common are compared by the last of them: the chain covers the rest. */
  async #compareEnds(): Promise<ImportRefused | undefined> {
    for (const [stream, { revision, hash, line, held }] of this.#streams) {
      if (held === undefined || revision >= held.revision) continue;
      const ours = await this.#at(stream, revision);
      if (ours?.hash !== hash)
        return {
          type: 'import-refused',
          line,
          reason: 'conflict',
          expected: `expected hash ${ours?.hash ?? 'none'}, as the journal holds it`,
        };
    }
    return undefined;
  }

  async #flush(): Promise<ImportRefused | undefined> {
    const batch = this.#batch;
    this.#batch = [];
    this.#batch_characters = 0;
    const results = await this.#journal.appendAll(batch.map(({ append }) => append));
    for (const [index, result] of results.entries()) {
      const line = batch[index]?.line ?? this.#line;
      if (!result.ok && result.failure.type === 'append-too-large')
        return {
          type: 'import-refused',
          line,
          reason: 'malformed',
          expected: `expected at most ${result.failure.limit_bytes} bytes`,
        };
      if (!result.ok || result.value.fresh.includes(false))
        return {
          type: 'import-refused',
          line,
          reason: 'conflict',
          expected: 'expected a stream nobody else writes, and each id once',
        };
      this.#recorded += 1;
    }
    return undefined;
  }

  readonly #at = (stream: StreamName, revision: bigint): Promise<RecordedEvent | undefined> =>
    first(this.#journal.readStream(stream, { from: revision as Revision, limit: 1 }));

  readonly #refuse = (reason: ImportRefused['reason'], expected: string): ImportRefused => ({
    type: 'import-refused',
    line: this.#line,
    reason,
    expected,
  });
}

const appendOf = ({ stream, revision, id, type, data, metadata, recordedAt }: ExportedEvent): Append => ({
  stream,
  events: [{ id, type, data, metadata, recordedAt }],
  expected: revision === 0n ? 'no-stream' : ((revision - 1n) as Revision),
});

async function first<Value>(values: AsyncIterable<Value>): Promise<Value | undefined> {
  for await (const value of values) return value;
  return undefined;
}
