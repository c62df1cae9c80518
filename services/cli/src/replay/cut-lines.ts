import type { FileHandle } from 'node:fs/promises';
import { longestLine_bytes } from './line-text.ts';

/** A line as it stands in a file. */
export interface CutLine {
  /** From 1. */
  readonly number: number;
  readonly offset: number;
  /** Without the line feed. */
  readonly length: number;
  /** The line, or as much of it as is ever looked at. */
  readonly bytes: Buffer;
}

const chunk_bytes = 262_144;
const lineFeed = 10;

/** Cuts a file at its line feeds. Holds one chunk and one line, and of a line without end only its beginning. */
export async function* cutLines(file: FileHandle): AsyncGenerator<CutLine, void, undefined> {
  const chunk = Buffer.alloc(chunk_bytes);
  let number = 1;
  let offset = 0;
  let head = Buffer.alloc(0);
  let length = 0;
  for (let position = 0; ;) {
    const { bytesRead } = await file.read(chunk, 0, chunk_bytes, position);
    if (bytesRead === 0) break;
    position += bytesRead;
    for (let start = 0; start < bytesRead;) {
      const found = chunk.subarray(0, bytesRead).indexOf(lineFeed, start);
      const piece = chunk.subarray(start, found === -1 ? bytesRead : found);
      if (head.length <= longestLine_bytes) head = Buffer.concat([head, piece]);
      length += piece.length;
      start += piece.length;
      if (found === -1) continue;
      yield { number, offset, length, bytes: head };
      number += 1;
      start += 1;
      offset += length + 1;
      head = Buffer.alloc(0);
      length = 0;
    }
  }
  if (length > 0) yield { number, offset, length, bytes: head };
}
