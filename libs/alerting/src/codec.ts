import type { Instant, Json, JsonObject, Result } from '@tidemark/kernel';
import { fail, formatInstant, ok, parseInstant } from '@tidemark/kernel';
import { alertClasses, alertPriorities, duties } from '@tidemark/words';
import { z } from 'zod';
import type { AlertEvent } from './alert-event.ts';

/** An alert event as the journal stores it: times as RFC 3339. */
export interface StoredAlertEvent {
  readonly type: AlertEvent['type'];
  readonly data: JsonObject;
}

/** The members that are times, at any depth. */
const times = new Set(['at', 'until', 'opensAt', 'dueAt', 'lapsedAt']);

/** Writes an alert event for the journal. */
export function encodeAlertEvent({ type, ...data }: AlertEvent): StoredAlertEvent {
  const text = JSON.stringify(data, (name, value: unknown) =>
    times.has(name) && typeof value === 'number' ? formatInstant(value as Instant) : value,
  );
  return { type, data: JSON.parse(text) as Record<string, Json> };
}

const time = z.string().transform((text, context): Instant => {
  const parsed = parseInstant(text);
  if (parsed.ok) return parsed.value;
  context.addIssue({ code: 'custom', message: 'expected an RFC 3339 time' });
  return z.NEVER;
});

const alertClass = z.enum(alertClasses);
const duty = z.enum(duties);
const aside = z.object({ as: z.enum(['suppressed', 'out-of-service']), why: z.string() });
const subject = z.object({
  key: z.string(),
  class: alertClass,
  name: z.string(),
  label: z.string(),
  latches: z.boolean(),
});
const owed = z.object({
  duty,
  opensAt: time,
  dueAt: time,
  lapses: z.enum(['on-return', 'before-opening', 'never']),
  fulfilled: z.object({ by: z.string(), at: time }).optional(),
  lapsedAt: time.optional(),
});

const place = { id: z.string(), at: time };

const stored = z.discriminatedUnion('type', [
  z.object({
    ...place,
    type: z.literal('alert-raised'),
    subject,
    occasion: z.enum(['new', 'same']),
    aside: aside.optional(),
    duties: z.array(owed),
  }),
  z.object({ ...place, type: z.literal('alert-returned') }),
  z.object({ ...place, type: z.literal('alert-latch-released') }),
  z.object({ ...place, type: z.literal('alert-acknowledged'), by: z.string() }),
  z.object({ ...place, type: z.literal('alert-shelved'), by: z.string(), until: time, reason: z.string() }),
  z.object({
    ...place,
    type: z.literal('alert-unshelved'),
    why: z.enum(['time-over', 'by-person', 'new-occasion', 'graver', 'escalated']),
    by: z.string().optional(),
  }),
  z.object({ ...place, type: z.literal('alert-set-aside'), aside }),
  z.object({ ...place, type: z.literal('alert-taken-back') }),
  z.object({ ...place, type: z.literal('alert-reclassed'), class: alertClass, graver: z.boolean() }),
  z.object({ ...place, type: z.literal('duty-owed'), owed }),
  z.object({ ...place, type: z.literal('duty-fulfilled'), duty, by: z.string() }),
  z.object({ ...place, type: z.literal('duty-lapsed'), duty }),
  z.object({
    ...place,
    type: z.literal('alert-escalated'),
    level: z.int(),
    priority: z.enum(alertPriorities),
    to: z.string(),
    duty,
    dueAt: time,
  }),
  z.object({ ...place, type: z.literal('alert-escalation-lowered'), level: z.int() }),
  z.object({ ...place, type: z.literal('alert-closed') }),
]);

/** The types of alert events in the journal. */
export const isAlertEvent = (type: string): boolean => type.startsWith('alert-') || type.startsWith('duty-');

/** Reads an alert event of the journal; one that this build does not know is refused with the reason. */
export function decodeAlertEvent(recorded: {
  readonly type: string;
  readonly data: JsonObject;
}): Result<AlertEvent, string> {
  const parsed = stored.safeParse({ ...recorded.data, type: recorded.type });
  if (parsed.success) return ok(parsed.data as AlertEvent);
  const issue = parsed.error.issues[0];
  return fail(`${recorded.type}: ${issue?.path.join('.') ?? ''}: ${issue?.message ?? 'not understood'}`);
}
