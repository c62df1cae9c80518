import { formatInstant } from '@tidemark/kernel';
import type { JournalReader, Position, RecordedEvent, StreamPrefix } from './journal.ts';

/** Marks the first line of an export, with the version of the format. */
export const exportFormat = { key: 'tidemark-journal', version: 1 } as const;

/** Which part of the journal to export. */
export interface ExportOptions {
  /** Only what lies strictly after this position: the continuation of an earlier export. */
  readonly after?: Position;
  readonly prefixes?: readonly StreamPrefix[];
}

/**
 * The journal as lines of JSON, in its order, without line breaks at their ends: a line that names the format, one per
 * event, and a last one with the number of events, so that a file that was cut off is noticed.
 *
 * An event's line holds stream, revision (decimal text), id, type, data, metadata, recordedAt (RFC 3339) and hash. It
 * holds no position, which is the place in one store: the same events exported from two journals give the same lines.
 */
export async function* exportJournal(journal: JournalReader, options: ExportOptions = {}): AsyncGenerator<string> {
  yield JSON.stringify({ [exportFormat.key]: exportFormat.version });
  let events = 0;
  for await (const event of journal.readAll(options)) {
    yield lineOf(event);
    events += 1;
  }
  yield JSON.stringify({ events });
}

const lineOf = ({ stream, revision, id, type, data, metadata, recordedAt, hash }: RecordedEvent): string =>
  JSON.stringify({
    stream,
    revision: String(revision),
    id,
    type,
    data,
    metadata,
    recordedAt: formatInstant(recordedAt),
    hash,
  });
