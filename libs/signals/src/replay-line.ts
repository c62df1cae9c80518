import { fail, formatInstant, ok } from '@tidemark/kernel';
import type { Instant, Result } from '@tidemark/kernel';
import { decode } from './decode.ts';
import type { Decoded, DecodeOptions, Message } from './decode.ts';
import { describeIssue, reportInput } from './describe-issue.ts';
import type { ReportedIssue } from './describe-issue.ts';
import { readJson } from './json-text.ts';
import { linkEvent } from './link-schema.ts';
import { namesAnother, readSignalEvent, toSignal } from './read-signal.ts';
import { refusal } from './rejection.ts';
import type { Refusal, RejectionReason } from './rejection.ts';
import { commandEvent, recording } from './replay-schema.ts';
import type { CommandData, Recording } from './replay-schema.ts';
import type { RiserKey } from './signal.ts';

/** What a line of a replay file says, and when the station heard it. */
export type ReplayEntry = { readonly receivedAt: Instant } & (
  Decoded | { readonly type: 'command'; readonly key: RiserKey; readonly id: string; readonly command: CommandData }
);

/** How to read a replay file: as live, for the one riser of the profile. */
export interface ReplayOptions extends DecodeOptions {
  readonly key: RiserKey;
}

/** Room for a payload of 64 KiB in base64 with its topic. */
const maximumLine_characters = 131_072;

/** Reads one line of a replay file: a CloudEvent (signal, link, station command) or a recorded message (CONTRACT 7.1). */
export function readReplayLine(line: string, options: ReplayOptions): Result<ReplayEntry, Refusal> {
  if (line.length > maximumLine_characters)
    return fail(
      refusal('too-large', `The line has ${line.length} characters; expected at most ${maximumLine_characters}.`),
    );
  const json = readJson(line);
  if (!json.ok) return json;
  const value = json.value;
  if (typeof value === 'object' && value !== null && 'topic' in value) return readRecording(value, options);
  const type = typeof value === 'object' && value !== null && 'type' in value ? value.type : undefined;
  switch (type) {
    case 'riser.command.v1':
      return readCommandLine(value, options.key);
    case 'riser.link.v1':
      return readLinkLine(value, options.key);
    default:
      return readSignalLine(value, options.key);
  }
}

function readRecording(value: object, options: ReplayOptions): Result<ReplayEntry, Refusal> {
  const parsed = recording.safeParse(value, reportInput);
  if (!parsed.success) return fail(firstIssue('malformed-recording', parsed.error.issues));
  const { topic, receivedtime: receivedAt, contentType, payload, payloadBase64 } = parsed.data;
  const text = typeof payload === 'string' ? payload : JSON.stringify(payload ?? '');
  const bytes = payloadBase64 === undefined ? new TextEncoder().encode(text) : Buffer.from(payloadBase64, 'base64');
  const message = { topic, payload: bytes, receivedAt, ...(contentType === undefined ? {} : { contentType }) };
  const decoded = decode(message, options);
  return decoded.ok ? ok({ ...decoded.value, receivedAt }) : decoded;
}

function readSignalLine(value: unknown, key: RiserKey): Result<ReplayEntry, Refusal> {
  const event = readSignalEvent(value, key);
  if (!event.ok) return event;
  return received(event.value, key, (receivedAt) => ({
    type: 'signal',
    signal: toSignal(event.value, key),
    receivedAt,
  }));
}

function readLinkLine(value: unknown, key: RiserKey): Result<ReplayEntry, Refusal> {
  const parsed = linkEvent.safeParse(value, reportInput);
  if (!parsed.success) return fail(firstIssue('malformed-link', parsed.error.issues));
  const misnamed = namesAnother(parsed.data, key);
  if (misnamed !== undefined) return fail(misnamed);
  const { link, session, time } = parsed.data.data;
  return received(parsed.data, key, (receivedAt) => ({
    type: 'link',
    key,
    link,
    ...(session === undefined ? {} : { session }),
    ...(time === undefined ? {} : { time }),
    receivedAt,
  }));
}

/** Of a command the subject alone says whose it is: its source is the station. */
function readCommandLine(value: unknown, key: RiserKey): Result<ReplayEntry, Refusal> {
  const parsed = commandEvent.safeParse(value, reportInput);
  if (!parsed.success) return fail(firstIssue('malformed-command', parsed.error.issues));
  const { id, data: command } = parsed.data;
  return received(parsed.data, key, (receivedAt) => ({ type: 'command', key, id, command, receivedAt }));
}

interface Times {
  readonly subject?: string | null | undefined;
  readonly time?: Instant | null | undefined;
  readonly receivedtime?: Instant | null | undefined;
}

/** Receipt is `receivedtime`, else `time`; and off the topics, only the subject says which riser is meant. */
function received<Entry>(
  { subject, time, receivedtime }: Times,
  key: RiserKey,
  entry: (receivedAt: Instant) => Entry,
): Result<Entry, Refusal> {
  if (subject !== key.riser)
    return fail(
      refusal('wrong-riser', `At subject: expected the riser "${key.riser}", found ${subject ?? 'nothing'}.`),
    );
  const receivedAt = receivedtime ?? time ?? undefined;
  return receivedAt === undefined
    ? fail(refusal('no-receipt-time', 'Expected receivedtime, or time to stand for it.'))
    : ok(entry(receivedAt));
}

const firstIssue = (reason: RejectionReason, [issue]: readonly ReportedIssue[]): Refusal =>
  refusal(reason, issue === undefined ? 'Expected another shape.' : describeIssue(issue));

/** Writes a message as it arrived as a line that `readReplayLine` reads back, whatever its bytes. */
export function recordingLine({ topic, payload, contentType, receivedAt }: Message): string {
  const line: Recording = {
    topic,
    receivedtime: formatInstant(receivedAt),
    ...(contentType === undefined ? {} : { contentType }),
    ...bytesAsJson(payload),
  };
  return JSON.stringify(line);
}

function bytesAsJson(payload: Uint8Array): Pick<Recording, 'payload' | 'payloadBase64'> {
  try {
    return { payload: exactUtf8.decode(payload) };
  } catch {
    return { payloadBase64: Buffer.from(payload).toString('base64') };
  }
}

/** Keeps a byte order mark, so that the bytes come back as they were. */
const exactUtf8 = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });
