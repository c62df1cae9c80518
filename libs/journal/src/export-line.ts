import type { Json, JsonObject, Result } from '@tidemark/kernel';
import { fail, ok, parseInstant } from '@tidemark/kernel';
import { parseEventId } from './event-id.ts';
import { exportFormat } from './export-journal.ts';
import type { RecordedEvent, Revision } from './journal.ts';
import { parseStreamName } from './names.ts';

/** An event as an export carries it: all but its place in the store it came from. */
export type ExportedEvent = Omit<RecordedEvent, 'position'>;

/** One line of an export. */
export type ExportLine =
  | { readonly type: 'format'; readonly version: number }
  | { readonly type: 'event'; readonly event: ExportedEvent }
  | { readonly type: 'end'; readonly events: number };

/** Reads one line of an export; the failure says what was expected. */
export function parseExportLine(text: string): Result<ExportLine, string> {
  const line = parseObject(text);
  if (line === undefined) return fail('expected a JSON object');
  const version = line[exportFormat.key];
  if (typeof version === 'number') return ok({ type: 'format', version });
  if (typeof line['events'] === 'number') return ok({ type: 'end', events: line['events'] });
  return parseEvent(line);
}

const digits = /^(0|[1-9][0-9]{0,18})$/;
const sha256 = /^[0-9a-f]{64}$/;
const printable = /^[!-~]{1,100}$/;

function parseEvent(line: JsonObject): Result<ExportLine, string> {
  const stream = parseStreamName(textOf(line['stream']));
  if (!stream.ok) return fail('expected stream: a stream name');
  const revision = textOf(line['revision']);
  if (!digits.test(revision)) return fail('expected revision: a whole number as text');
  const id = parseEventId(textOf(line['id']));
  if (!id.ok) return fail('expected id: a lower-case UUID');
  const type = textOf(line['type']);
  if (!printable.test(type)) return fail('expected type: 1 to 100 printable characters');
  const { data, metadata } = line;
  if (!isObject(data) || !isObject(metadata)) return fail('expected data and metadata: JSON objects');
  const recordedAt = parseInstant(textOf(line['recordedAt']));
  if (!recordedAt.ok) return fail('expected recordedAt: an RFC 3339 time');
  const hash = textOf(line['hash']);
  if (!sha256.test(hash)) return fail('expected hash: 64 hexadecimal digits');
  const known = { stream: stream.value, revision: BigInt(revision) as Revision, id: id.value, type };
  return ok({ type: 'event', event: { ...known, data, metadata, recordedAt: recordedAt.value, hash } });
}

function parseObject(text: string): JsonObject | undefined {
  try {
    const value = JSON.parse(text) as Json;
    return isObject(value) ? value : undefined;
  } catch {
    return undefined;
  }
}

const textOf = (value: Json | undefined): string => (typeof value === 'string' ? value : '');

const isObject = (value: Json | undefined): value is JsonObject =>
  typeof value === 'object' && value !== null && !Array.isArray(value);
