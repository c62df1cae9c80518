import type { FileHandle } from 'node:fs/promises';
import type { Instant, Result } from '@tidemark/kernel';
import type { Refusal } from '@tidemark/signals';
import { cutLines } from './cut-lines.ts';
import { lineText } from './line-text.ts';
import { receiptOf } from './receipt.ts';
import { WindowReader } from './window-reader.ts';

/** A line of a replay file, when it is its turn. */
export interface ReplayLine {
  /** From 1, blank lines counted. */
  readonly number: number;
  /** When it was received; of a line that does not say, when the line above it was. */
  readonly receivedAt: Instant | undefined;
  readonly text: Result<string, Refusal>;
}

/** Where each line stands and when it was received: some forty bytes a line, so that no file has to fit in memory. */
export interface LineIndex {
  readonly numbers: readonly number[];
  readonly offsets: readonly number[];
  readonly lengths: readonly number[];
  /** `-Infinity` before the first line that says when. */
  readonly receipts: readonly number[];
  /** Places in the lists above in order of receipt; lines of the same moment stay in the order of the file. */
  readonly order: Uint32Array;
}

/** First pass over a file: finds its lines, blank ones aside, and puts them in order of receipt. */
export async function indexLines(file: FileHandle): Promise<LineIndex> {
  const index = { numbers: [] as number[], offsets: [] as number[], lengths: [] as number[], receipts: [] as number[] };
  let receipt: number = Number.NEGATIVE_INFINITY;
  for await (const { number, offset, length, bytes } of cutLines(file)) {
    const text = lineText(bytes, length);
    if (text.ok && text.value.trim() === '') continue;
    receipt = (text.ok ? receiptOf(text.value) : undefined) ?? receipt;
    index.numbers.push(number);
    index.offsets.push(offset);
    index.lengths.push(length);
    index.receipts.push(receipt);
  }
  return { ...index, order: inOrderOfReceipt(index.receipts) };
}

/** Most files are in order already; then there is nothing to sort. */
function inOrderOfReceipt(receipts: readonly number[]): Uint32Array {
  const order = Uint32Array.from(receipts, (_, place) => place);
  const at = (place: number): number => receipts[place] ?? Number.NEGATIVE_INFINITY;
  if (receipts.every((receipt, place) => place === 0 || at(place - 1) <= receipt)) return order;
  return order.sort((one, other) => (at(one) < at(other) ? -1 : at(one) > at(other) ? 1 : one - other));
}

/** Second pass: the lines in order of receipt. */
export async function* linesInOrder(file: FileHandle, index: LineIndex): AsyncGenerator<ReplayLine, void, undefined> {
  const reader = new WindowReader(file);
  for (const place of index.order) {
    const receipt = index.receipts[place] ?? Number.NEGATIVE_INFINITY;
    const length = index.lengths[place] ?? 0;
    yield {
      number: index.numbers[place] ?? 0,
      receivedAt: receipt === Number.NEGATIVE_INFINITY ? undefined : (receipt as Instant),
      text: lineText(await reader.read(index.offsets[place] ?? 0, length), length),
    };
  }
}
