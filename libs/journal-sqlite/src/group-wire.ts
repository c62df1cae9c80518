import type { Instant } from '@tidemark/kernel';
import { InvariantViolated } from '@tidemark/kernel';
import type { EncodedAppend, EncodedEvent, EventId, ExpectedRevision, StreamName } from '@tidemark/journal';
import { WriterFault } from './faults.ts';
import type { Answer, Group, Request } from './group.ts';

/**
 * An append as it goes to the thread that writes. Strings are copied at a few bytes a nanosecond, objects member by
 * member; so each column of its events is one text with a line an event. Neither ids and types nor JSON, which
 * escapes it, hold a line break.
 */
interface AppendWire {
  readonly type: 'append';
  readonly stream: StreamName;
  readonly expected: ExpectedRevision;
  readonly size_bytes: number;
  readonly ids: string;
  readonly types: string;
  readonly data: string;
  readonly metadata: string;
  /** Absent when no event has a time of its own. */
  readonly recordedAt: readonly (Instant | undefined)[] | undefined;
}

/** A group on its way to the thread that writes. */
export interface GroupWire {
  readonly now: Instant;
  readonly requests: readonly (AppendWire | Extract<Request, { readonly type: 'checkpoint' }>)[];
}

/** What that thread answers: as durable, or why it is not. */
export type AnswersWire =
  | { readonly type: 'committed'; readonly answers: readonly Answer[] }
  | { readonly type: 'failed'; readonly code: string; readonly message: string }
  | { readonly type: 'bug'; readonly message: string };

/** A group as a message. */
export const wireOf = ({ now, requests }: Group): GroupWire => ({
  now,
  requests: requests.map((request) => (request.type === 'append' ? wireOfAppend(request.append) : request)),
});

function wireOfAppend({ stream, expected, size_bytes, events }: EncodedAppend): AppendWire {
  const lines = (column: (event: EncodedEvent) => string): string => events.map(column).join('\n');
  return {
    type: 'append',
    stream,
    expected,
    size_bytes,
    ids: lines(({ id }) => id),
    types: lines(({ type }) => type),
    data: lines(({ data }) => data),
    metadata: lines(({ metadata }) => metadata),
    recordedAt: events.some(({ recordedAt }) => recordedAt !== undefined)
      ? events.map(({ recordedAt }) => recordedAt)
      : undefined,
  };
}

/** The group that a message holds. */
export const groupOf = ({ now, requests }: GroupWire): Group => ({
  now,
  requests: requests.map((request) =>
    request.type === 'append' ? { type: 'append', append: appendOf(request) } : request,
  ),
});

function appendOf({ stream, expected, size_bytes, recordedAt, ...columns }: AppendWire): EncodedAppend {
  const types = columns.types.split('\n');
  const data = columns.data.split('\n');
  const metadata = columns.metadata.split('\n');
  const events = columns.ids.split('\n').map((id, index) => ({
    id: id as EventId,
    type: types[index] ?? '',
    data: data[index] ?? '',
    metadata: metadata[index] ?? '',
    recordedAt: recordedAt?.[index],
  }));
  return { stream, expected, size_bytes, events };
}

/** What is said of a commit that threw. */
export function wireOfFault(fault: unknown): AnswersWire {
  const message = fault instanceof Error ? fault.message : String(fault);
  if (fault instanceof InvariantViolated) return { type: 'bug', message };
  const code = fault instanceof Error && 'code' in fault ? String(fault.code) : 'unknown';
  return { type: 'failed', code, message };
}

/** The error that an answer stands for. */
export const faultOf = (wire: Exclude<AnswersWire, { readonly type: 'committed' }>): Error =>
  wire.type === 'bug' ? new InvariantViolated(wire.message) : new WriterFault(wire.code, wire.message);
