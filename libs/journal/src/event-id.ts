import { hash } from 'node:crypto';
import type { Result } from '@tidemark/kernel';
import { canonicalJson, fail, invariant, ok } from '@tidemark/kernel';
import type { EventId } from './journal.ts';

/** The name space of our event ids (RFC 9562, section 6.6): drawn at random once, fixed for ever. */
const eventIds = bytesOf('437a2ffd-9d50-4a11-9ab6-e6ef0385f86f');

const uuid = /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/;

/**
 * The id of the event that these parts describe, e.g. `['signal', source, id]`: the same parts give the same id on
 * every machine, other parts another one. The parts are taken as a JSON array, so `['a', 'b']` and `['ab']` differ.
 * A UUID of version 8 over SHA-256, as in RFC 9562, appendix B.2.
 */
export function deriveEventId(parts: readonly string[]): EventId {
  invariant(parts.length > 0, 'an event id is derived from at least one part');
  return uuidWithin(eventIds, canonicalJson(parts)) as EventId;
}

/** Reads a UUID in its lower-case form, of any version. */
export const parseEventId = (text: string): Result<EventId, 'malformed-event-id'> =>
  uuid.test(text) ? ok(text as EventId) : fail('malformed-event-id');

/** UUID version 8 by SHA-256 over the 16 bytes of the name space and the UTF-8 bytes of the name (RFC 9562, appendix B.2). */
export const nameBasedUuid = (nameSpace: string, name: string): string => uuidWithin(bytesOf(nameSpace), name);

function uuidWithin(nameSpace: Uint8Array, name: string): string {
  const hex = hash('sha256', Buffer.concat([nameSpace, Buffer.from(name)]));
  // RFC 9562, section 5.8: the version in digit 12, the variant 10 in the upper two bits of digit 16.
  const variant = variants[Number.parseInt(hex.charAt(16), 16) & 3] ?? '';
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-8${hex.slice(13, 16)}-${variant}${hex.slice(17, 20)}-${hex.slice(20, 32)}`;
}

const variants = ['8', '9', 'a', 'b'] as const;

function bytesOf(uuid: string): Uint8Array {
  return Buffer.from(uuid.replaceAll('-', ''), 'hex');
}
