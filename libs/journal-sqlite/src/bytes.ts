import type { EventId } from '@tidemark/journal';

/** The 16 bytes of a UUID. */
export const bytesOfId = (id: EventId): Buffer => Buffer.from(id.replaceAll('-', ''), 'hex');

/** A UUID as text. */
export function idOfBytes(bytes: Buffer): EventId {
  const hex = bytes.toString('hex');
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}` as EventId;
}

/** The 32 bytes of a hash. */
export const bytesOfHash = (hash: string): Buffer => Buffer.from(hash, 'hex');

/** A hash as lower-case hexadecimal text. */
export const hashOfBytes = (bytes: Buffer): string => bytes.toString('hex');
