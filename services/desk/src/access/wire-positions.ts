import { createCipheriv, createDecipheriv, hash, randomBytes } from 'node:crypto';
import type { Accounts } from '@tidemark/api';
import type { Position } from '@tidemark/journal';

/** How journal positions are told to one person, and read back. */
export interface WirePositions {
  readonly write: (position: Position) => string;
  /** Undefined where it is no position that this person may open. */
  readonly read: (text: string) => Position | undefined;
  /** Undefined where it was not told to somebody who sees these very accounts. */
  readonly readOwn: (text: string) => Position | undefined;
}

/**
 * The form of positions for who sees these accounts. Who sees everything gets them as they are, and may open what was
 * sealed for somebody else, so that a link can be passed on.
 *
 * For who is bound to accounts, a position is one AES block: the distance between two would tell how much is recorded
 * for others, and a guess how far the journal has come. A block tells neither, and a guess is no block of ours. It names
 * its accounts, so that somebody whose accounts changed does not go on in a stream that began with others. The key is
 * this start's.
 */
export function positionsFor(accounts: Accounts): WirePositions {
  if (accounts === 'all') return { write: String, read: (text) => plain(text) ?? open(text)?.position, readOwn: plain };
  const mark = markOf(accounts);
  const read = (text: string) => {
    const opened = open(text);
    return opened?.mark === mark ? opened.position : undefined;
  };
  return { write: (position) => seal(position, mark), read, readOwn: read };
}

/** The same answer with every journal position in it as this person is told it: digits under the key `position`. */
export function withPositions(answer: unknown, write: WirePositions['write']): unknown {
  if (Array.isArray(answer)) return answer.map((each) => withPositions(each, write));
  if (typeof answer !== 'object' || answer === null) return answer;
  return Object.fromEntries(
    Object.entries(answer).map(([key, value]: [string, unknown]) => [
      key,
      key === 'position' && typeof value === 'string' && /^\d+$/.test(value)
        ? write(BigInt(value) as Position)
        : withPositions(value, write),
    ]),
  );
}

const key = randomBytes(32);
const cipher = 'aes-256-ecb';
const block_bytes = 16;

const plain = (text: string): Position | undefined =>
  /^\d{1,18}$/.test(text) ? (BigInt(text) as Position) : undefined;

const markOf = (accounts: ReadonlySet<string>): number =>
  hash('sha256', JSON.stringify([...accounts].toSorted()), 'buffer').readUInt32BE();

/** Position, four zeros that a forged block would not have, and the accounts' mark: sixteen bytes, as decimal digits. */
function seal(position: Position, mark: number): string {
  const block = Buffer.alloc(block_bytes);
  block.writeBigUInt64BE(position);
  block.writeUInt32BE(mark, 12);
  const sealing = createCipheriv(cipher, key, null).setAutoPadding(false);
  return BigInt(`0x${Buffer.concat([sealing.update(block), sealing.final()]).toString('hex')}`).toString();
}

function open(text: string): { readonly position: Position; readonly mark: number } | undefined {
  if (!/^\d{1,39}$/.test(text)) return undefined;
  const sealed = BigInt(text)
    .toString(16)
    .padStart(block_bytes * 2, '0');
  if (sealed.length > block_bytes * 2) return undefined;
  const opening = createDecipheriv(cipher, key, null).setAutoPadding(false);
  const block = Buffer.concat([opening.update(Buffer.from(sealed, 'hex')), opening.final()]);
  if (block.readUInt32BE(8) !== 0) return undefined;
  return { position: block.readBigUInt64BE() as Position, mark: block.readUInt32BE(12) };
}
