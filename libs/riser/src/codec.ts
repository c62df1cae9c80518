import type { Instant, Json, JsonObject, Result } from '@tidemark/kernel';
import { fail, formatInstant, ok, parseInstant, unreachable } from '@tidemark/kernel';
import type { SignalContent } from '@tidemark/signals';
import { callees, dispatchStages, dispatchUnits } from '@tidemark/words';
import { z } from 'zod';
import type { RiserEvent } from './event.ts';
import type { Profile } from './profile.ts';

/** A riser event as the journal stores it: times as RFC 3339, sequence numbers as text. */
export interface StoredRiserEvent {
  readonly type: RiserEvent['type'];
  readonly data: JsonObject;
}

/** What the journal gives back. */
export interface RecordedRiserEvent {
  readonly id: string;
  readonly type: string;
  readonly data: JsonObject;
}

/** Writes an event for the journal; its id is the journal's own. */
export function encodeRiserEvent(event: RiserEvent): StoredRiserEvent {
  if (event.type === 'signal-received') return { type: event.type, data: signalData(event) };
  const rest = Object.fromEntries(Object.entries(event).filter(([key]) => key !== 'type' && key !== 'id'));
  return { type: event.type, data: { ...(plain(rest) as JsonObject), receivedAt: formatInstant(event.receivedAt) } };
}

/**
 * Field by field, as nearly every event is one of these and each is on its way to an acknowledgement; in the order of
 * canonical JSON, which then need not sort them.
 */
function signalData(event: Extract<RiserEvent, { readonly type: 'signal-received' }>): JsonObject {
  const { receivedAt, observedAt, source, sequence, point, text } = event;
  const data: Record<string, Json> = { content: contentData(event.content) };
  if (observedAt !== undefined) data['observedAt'] = formatInstant(observedAt);
  if (point !== undefined) data['point'] = point;
  data['receivedAt'] = formatInstant(receivedAt);
  if (sequence !== undefined) data['sequence'] = sequence.toString();
  data['source'] = source;
  if (text !== undefined) data['text'] = text;
  return data;
}

function contentData(content: SignalContent): JsonObject {
  switch (content.kind) {
    case 'contact':
      return { kind: content.kind, name: content.name, state: content.state };
    case 'reading':
      return {
        kind: content.kind,
        name: content.name,
        si: content.si,
        unit: content.unit,
        value: content.value,
      };
    case 'act':
    case 'periodic-test':
      return { kind: content.kind, name: content.name };
    default:
      return unreachable(content);
  }
}

const plain = (value: unknown): Json =>
  JSON.parse(
    JSON.stringify(value, (_key, each: unknown) => (typeof each === 'bigint' ? each.toString() : each)),
  ) as Json;

const time = z.string().transform((text, context): Instant => {
  const parsed = parseInstant(text);
  if (parsed.ok) return parsed.value;
  context.addIssue({ code: 'custom', message: 'expected an RFC 3339 time' });
  return z.NEVER;
});

const content = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('contact'), name: z.string(), state: z.enum(['active', 'restored']) }),
  z.object({ kind: z.literal('act'), name: z.enum(['reset', 'silence']) }),
  z.object({ kind: z.literal('periodic-test'), name: z.literal('periodic-test') }),
  z.object({ kind: z.literal('reading'), name: z.string(), si: z.number(), value: z.number(), unit: z.string() }),
]);

const target = { finding: z.string().optional(), alert: z.string().optional() };

const command = z.discriminatedUnion('command', [
  z.object({ command: z.literal('test-begin'), forSeconds: z.number(), expect: z.array(z.string()) }),
  z.object({ command: z.literal('test-end') }),
  z.object({ command: z.literal('impairment-begin'), kind: z.enum(['planned', 'emergency']), reason: z.string() }),
  z.object({ command: z.literal('impairment-end') }),
  z.object({ command: z.literal('acknowledge'), ...target }),
  z.object({ command: z.literal('confirm'), step: z.string() }),
  z.object({ command: z.literal('check-answered'), check: z.string(), found: z.string() }),
  z.object({ command: z.literal('shelve'), ...target, forSeconds: z.number(), reason: z.string() }),
  z.object({ command: z.literal('unshelve'), ...target }),
  z.object({ command: z.literal('note'), text: z.string() }),
  z.object({
    command: z.literal('call-recorded'),
    to: z.enum(callees),
    outcome: z.enum(['reached', 'not-reached']),
    person: z.string().optional(),
    note: z.string().optional(),
    alert: z.string().optional(),
  }),
  z.object({
    command: z.literal('dispatch-recorded'),
    unit: z.enum(dispatchUnits),
    stage: z.enum(dispatchStages),
    reference: z.string().optional(),
    note: z.string().optional(),
    alert: z.string().optional(),
  }),
]);

const stored = z.discriminatedUnion('type', [
  z.object({
    type: z.literal('profile-installed'),
    receivedAt: time,
    profile: z.custom<Profile>((value) => typeof value === 'object'),
  }),
  z.object({
    type: z.literal('signal-received'),
    receivedAt: time,
    observedAt: time.optional(),
    source: z.string(),
    sequence: z.string().regex(/^\d+$/).transform(BigInt).optional(),
    point: z.number().optional(),
    text: z.string().optional(),
    content,
  }),
  z.object({ type: z.literal('signal-repeated'), receivedAt: time, source: z.string() }),
  z.object({
    type: z.literal('link-reported'),
    receivedAt: time,
    link: z.enum(['up', 'down']),
    session: z.string().optional(),
  }),
  z.object({ type: z.literal('command-given'), receivedAt: time, by: z.string(), command }),
  z.object({ type: z.literal('time-reached'), receivedAt: time }),
]);

/** Reads an event of the journal. One that this build does not know is refused here; `evolve` only meets its own union. */
export function decodeRiserEvent(recorded: RecordedRiserEvent): Result<RiserEvent, string> {
  const parsed = stored.safeParse({ ...recorded.data, type: recorded.type });
  if (!parsed.success) {
    const issue = parsed.error.issues[0];
    return fail(`${recorded.type}: ${issue?.path.join('.') ?? ''}: ${issue?.message ?? 'not understood'}`);
  }
  // The schema above mirrors RiserEvent; names of signals were checked when they were received.
  return ok({ ...parsed.data, id: recorded.id } as RiserEvent);
}
