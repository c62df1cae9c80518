import { parseInstant, unitsOf } from '@tidemark/kernel';
import { actNames, contactNames, pressureNames } from '@tidemark/words';
import type { ReadSignalEvent, SignalData } from './signal-schema.ts';

type Members = Readonly<Record<string, unknown>>;

const contacts = new Set<unknown>(contactNames);
const acts = new Set<unknown>(actNames);
const pressures = new Set<unknown>(pressureNames);
const pressureUnits = new Set<unknown>(unitsOf('pressure'));
const flowUnits = new Set<unknown>(unitsOf('flow'));

/**
 * Reads parsed JSON as a signal's CloudEvent if it has the plain form that nearly every signal has: no extension
 * attribute, no `null`, text of printable ASCII. `undefined` says nothing about it: then the schema decides. It is a
 * short cut through `signalEvent` and must never answer otherwise than that (a property test compares them); it costs
 * a twentieth, and each signal passes here on its way to an acknowledgement.
 */
export function readPlainEvent(value: unknown): ReadSignalEvent | undefined {
  if (!isObject(value) || !hasOnly(value, attributes)) return undefined;
  const { specversion, type, id, source, subject, time, sequence, data } = value;
  if (specversion !== '1.0' || type !== 'riser.signal.v1') return undefined;
  if (!isPlainText(id, 1, maximumPlain_characters) || !isPlainText(source, 1, maximumPlain_characters))
    return undefined;
  if (!uriCharacters.test(source) || !isPlainData(data)) return undefined;
  const event: { -readonly [Key in keyof ReadSignalEvent]: ReadSignalEvent[Key] } = {
    specversion,
    id,
    source,
    type,
    data,
  };
  if (subject !== undefined) {
    if (!isPlainText(subject, 1, maximumPlain_characters)) return undefined;
    event.subject = subject;
  }
  if (time !== undefined) {
    const at = typeof time === 'string' ? parseInstant(time) : undefined;
    if (at?.ok !== true) return undefined;
    event.time = at.value;
  }
  if (sequence !== undefined) {
    if (typeof sequence !== 'string' || !plainSequence.test(sequence)) return undefined;
    event.sequence = sequence;
  }
  return event;
}

/** Below what the schema allows for any of them; longer text is rare. */
const maximumPlain_characters = 200;

const attributes = new Set(['specversion', 'id', 'source', 'type', 'subject', 'time', 'sequence', 'data']);

/** URI characters but `%`, whose escapes the schema reads. */
const uriCharacters = /^[A-Za-z0-9\-._~:/?#[\]@!$&'()*+,;=]+$/;

const plainSequence = /^[0-9]{1,40}$/;

const contactMembers = new Set(['signal', 'state', 'point', 'text']);
const readingMembers = new Set(['signal', 'value', 'unit', 'point', 'text']);

function isPlainData(data: unknown): data is SignalData {
  if (!isObject(data)) return false;
  const { signal, state, point, text } = data;
  if (point !== undefined && !isPoint(point)) return false;
  if (text !== undefined && !isPlainText(text, 0, maximumPlain_characters)) return false;
  if (contacts.has(signal)) return (state === 'active' || state === 'restored') && hasOnly(data, contactMembers);
  if (acts.has(signal)) return state === 'performed' && hasOnly(data, contactMembers);
  if (signal === 'periodic-test') return state === 'active' && hasOnly(data, contactMembers);
  return isPlainReading(data);
}

function isPlainReading(data: Members): boolean {
  const { signal, value, unit } = data;
  const isMeasured = typeof value === 'number' && value >= -1e9 && value <= 1e9;
  const hasUnit = signal === 'flow' ? flowUnits.has(unit) : pressures.has(signal) && pressureUnits.has(unit);
  return isMeasured && hasUnit && hasOnly(data, readingMembers);
}

const isPoint = (value: unknown): boolean =>
  typeof value === 'number' && Number.isInteger(value) && value >= 0 && value <= 65_535;

function isPlainText(value: unknown, least: number, most: number): value is string {
  if (typeof value !== 'string' || value.length < least || value.length > most) return false;
  for (let index = 0; index < value.length; index += 1) {
    const code = value.charCodeAt(index);
    if (code < 0x20 || code > 0x7e) return false;
  }
  return true;
}

const isObject = (value: unknown): value is Members =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

function hasOnly(value: Members, names: ReadonlySet<string>): boolean {
  for (const name of Object.keys(value)) if (!names.has(name)) return false;
  return true;
}
