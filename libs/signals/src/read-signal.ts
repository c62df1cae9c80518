import { fail, invariant, ok, quantity } from '@tidemark/kernel';
import type { Result } from '@tidemark/kernel';
import { describeIssue, reportInput } from './describe-issue.ts';
import type { ReportedIssue } from './describe-issue.ts';
import { readPlainEvent } from './plain-event.ts';
import { refusal } from './rejection.ts';
import type { Refusal } from './rejection.ts';
import { signalEvent } from './signal-schema.ts';
import type { ReadSignalEvent, SignalData } from './signal-schema.ts';
import type { RiserKey, Signal, SignalContent } from './signal.ts';

/** Reads parsed JSON as the signal of the riser whose topic it came on. */
export function readSignal(value: unknown, key: RiserKey): Result<Signal, Refusal> {
  const event = readSignalEvent(value, key);
  return event.ok ? ok(toSignal(event.value, key)) : event;
}

/** Reads parsed JSON as a signal's CloudEvent, everything around the signal included. */
export function readSignalEvent(value: unknown, key: RiserKey): Result<ReadSignalEvent, Refusal> {
  const event = readPlainEvent(value);
  return event === undefined ? readAnyEvent(value, key) : addressedTo(event, key);
}

function readAnyEvent(value: unknown, key: RiserKey): Result<ReadSignalEvent, Refusal> {
  const parsed = signalEvent.safeParse(value, reportInput);
  // zod leaves this one key out of what it checks and returns.
  if (isObject(value) && Object.hasOwn(value, '__proto__'))
    return fail(refusal('not-a-cloud-event', 'Expected attribute names of a-z and 0-9 only, found "__proto__".'));
  if (!parsed.success) return fail(notASignal(value, parsed.error.issues));
  return addressedTo(parsed.data, key);
}

function addressedTo(event: ReadSignalEvent, key: RiserKey): Result<ReadSignalEvent, Refusal> {
  const misnamed = namesAnother(event, key);
  return misnamed === undefined ? ok(event) : fail(misnamed);
}

/** The refusal that helps most: whose event it is before what its attributes lack, and those before its data. */
function notASignal(value: unknown, issues: readonly ReportedIssue[]): Refusal {
  const about = (name: string) => issues.find(({ path }) => path[0] === name);
  const type = about('type');
  const envelope = issues.find(({ path }) => path[0] !== 'data');
  const data = about('data');
  if (!isObject(value) || value['specversion'] === undefined) return notACloudEvent(value);
  if (type !== undefined && typeof value['type'] === 'string') return refusal('unsupported-type', describeIssue(type));
  if (envelope !== undefined) return refusal('not-a-cloud-event', describeIssue(envelope));
  invariant(data !== undefined, 'an event that does not fit the schema has an issue that says why');
  const unknown = issues.find(({ path }) => path[0] === 'data' && path[1] === 'signal');
  const isWord = isObject(value['data']) && typeof value['data']['signal'] === 'string';
  return unknown !== undefined && isWord
    ? refusal('unknown-signal', describeIssue(unknown))
    : refusal('malformed-data', describeIssue(data));
}

/** Attributes outside the payload are never seen by this station, so binary mode leaves the data alone. */
function notACloudEvent(value: unknown): Refusal {
  if (isObject(value) && (value['signal'] !== undefined || value['link'] !== undefined))
    return refusal(
      'binary-mode',
      'The payload is data without a CloudEvent around it; binary mode is not accepted, expected structured mode with specversion, id, source and type in the payload.',
    );
  return refusal(
    'not-a-cloud-event',
    isObject(value)
      ? 'At specversion: expected "1.0"; the payload is not a CloudEvent in structured mode.'
      : 'The payload is JSON but not an object; expected a CloudEvent in structured mode.',
  );
}

const isObject = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** The topic says whose signal it is; the payload may repeat it but not contradict it (CONTRACT 1). */
export function namesAnother(
  { source, subject }: { readonly source: string; readonly subject?: string | null | undefined },
  key: RiserKey,
): Refusal | undefined {
  const account = accountOf(source);
  if (account !== key.account)
    return refusal(
      'wrong-account',
      `At source: expected the first segment to be the account "${key.account}", found "${account}".`,
    );
  if (typeof subject === 'string' && subject !== key.riser)
    return refusal('wrong-riser', `At subject: expected the riser "${key.riser}", found "${subject}".`);
  return undefined;
}

/** The first segment of a source: the account it claims to speak for. */
const accountOf = (source: string): string => {
  const path = source.startsWith('/') ? source.slice(1) : source;
  const end = path.indexOf('/');
  return end === -1 ? path : path.slice(0, end);
};

/** The signal that an event carries. */
export const toSignal = (event: ReadSignalEvent, key: RiserKey): Signal => ({
  key,
  source: event.source,
  id: event.id,
  observedAt: event.time ?? undefined,
  sequence: typeof event.sequence === 'string' ? BigInt(event.sequence) : undefined,
  point: event.data.point === undefined ? undefined : withoutMinusZero(event.data.point),
  text: event.data.text,
  content: contentOf(event.data),
  form: 'cloudevent',
});

function contentOf(data: SignalData): SignalContent {
  if ('value' in data) {
    const value = withoutMinusZero(data.value);
    const measured = quantity(value, data.unit);
    invariant(measured.ok, 'the schema lets through only units the kernel knows');
    return { kind: 'reading', name: data.signal, si: measured.value.si, value, unit: data.unit };
  }
  if (data.signal === 'periodic-test') return { kind: 'periodic-test', name: data.signal };
  if (data.state === 'performed') return { kind: 'act', name: data.signal };
  return { kind: 'contact', name: data.signal, state: data.state };
}

/** JSON can say `-0`; for a point number and for a reading it is nothing but zero. */
const withoutMinusZero = (value: number): number => (value === 0 ? 0 : value);
