import type { FindingHistory, RiserEvent, RiserKey } from '@tidemark/api';
import { exportLimit_lines } from '@tidemark/api';
import { streamName } from '@tidemark/journal';
import type { Result } from '@tidemark/kernel';
import { fail, ok } from '@tidemark/kernel';
import type { Labels } from './event-pages.ts';
import { eventOnTheWire } from './event-pages.ts';
import { findingItem, onlyFindings } from './finding-pages.ts';
import type { StreamReader } from './page.ts';

/** One line of an export. `at` is the station's clock. */
export type ExportLine =
  | { readonly kind: 'event'; readonly at: string; readonly record: RiserEvent }
  | { readonly kind: 'finding'; readonly at: string; readonly record: FindingHistory['items'][number] };

/** A span with its ends; an absent end is open. */
export interface Span {
  readonly from?: string;
  readonly to?: string;
}

/** What was recorded of a riser in a span, oldest first. Too much is refused, never cut. */
export async function exportLines(
  reader: StreamReader,
  { account, riser }: RiserKey,
  { from = '', to = '9999' }: Span,
  labels: Labels,
): Promise<Result<readonly ExportLine[], 'too-long'>> {
  const lines: ExportLine[] = [];
  const isWithin = (at: string): boolean => from <= at && at <= to;
  for await (const recorded of reader.readStream(streamName('riser', account, riser))) {
    const record = eventOnTheWire(recorded, labels);
    if (isWithin(record.receivedAt)) lines.push({ kind: 'event', at: record.receivedAt, record });
    if (lines.length > exportLimit_lines) return fail('too-long');
  }
  for await (const recorded of onlyFindings(reader.readStream(streamName('finding', account, riser)))) {
    const record = findingItem(recorded);
    const at = record.type === 'finding' ? record.finding.at : record.recordedAt;
    if (isWithin(at)) lines.push({ kind: 'finding', at, record });
    if (lines.length > exportLimit_lines) return fail('too-long');
  }
  return ok(lines.toSorted((one, other) => one.at.localeCompare(other.at)));
}

/** One JSON object a line. */
export const asNdjson = (lines: readonly object[]): string => lines.map((line) => `${JSON.stringify(line)}\n`).join('');

const columns = [
  'kind',
  'received_or_raised_at',
  'panel_clock',
  'what',
  'state',
  'point',
  'label',
  'by_or_source',
  'detail',
  'id',
] as const;

type Row = Partial<Readonly<Record<(typeof columns)[number], string | number | undefined>>>;

/** A table after RFC 4180. */
export const asCsv = (lines: readonly ExportLine[]): string =>
  [columns.join(','), ...lines.map((line) => columns.map((column) => cell(rowOf(line)[column])).join(','))]
    .map((line) => `${line}\r\n`)
    .join('');

function rowOf(line: ExportLine): Row {
  const common = { kind: line.kind, received_or_raised_at: line.at, id: line.record.id };
  if (line.kind === 'event') return { ...common, ...eventRow(line.record) };
  const { record } = line;
  if (record.type === 'unreadable') return { ...common, what: record.type, detail: record.reason };
  const { code, status, severity, explanation } = record.finding;
  return { ...common, what: code, state: `${status}, ${severity}`, detail: explanation };
}

function eventRow(event: RiserEvent): Row {
  switch (event.type) {
    case 'signal':
      return {
        panel_clock: event.observedAt,
        what: event.signal,
        state: event.reading === undefined ? event.state : `${event.reading.value} ${event.reading.unit}`,
        point: event.point,
        label: event.label,
        by_or_source: event.source,
        detail: event.text,
      };
    case 'command': {
      const { command, ...more } = event.command;
      return { what: command, by_or_source: event.by, detail: JSON.stringify(more) };
    }
    case 'link':
      return { what: 'link', state: event.link };
    case 'repeat':
      return { what: event.type, by_or_source: event.source };
    case 'profile':
    case 'time':
      return { what: event.type };
    case 'unreadable':
      return { what: event.type, detail: event.reason };
  }
}

/** A spreadsheet runs what begins like a formula: such a cell is marked as text (OWASP, CSV injection; from memory). */
function cell(value: string | number | undefined): string {
  const text = String(value ?? '');
  const safe = /^[=+\-@\t\r]/.test(text) ? `'${text}` : text;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
