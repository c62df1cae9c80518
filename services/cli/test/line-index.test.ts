import { fc, test } from '@fast-check/vitest';
import { formatInstant, instant } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import { indexLines, linesInOrder } from '../src/index.ts';
import type { ReplayLine } from '../src/index.ts';
import { withLog } from './log-file.ts';

const linesOf = (content: string | Uint8Array): Promise<readonly ReplayLine[]> =>
  withLog(content, async (file) => {
    const lines: ReplayLine[] = [];
    for await (const line of linesInOrder(file, await indexLines(file))) lines.push(line);
    return lines;
  });

const at = (second: number): string => formatInstant(instant(1_772_000_000_000 + second * 1_000));
const event = (id: string, second: number): string => JSON.stringify({ id, receivedtime: at(second) });
const numbers = (lines: readonly ReplayLine[]): readonly number[] => lines.map(({ number }) => number);

describe('the lines of a log', () => {
  it('are taken in the order of receipt, those of one moment in the order of the file', async () => {
    const lines = await linesOf([event('a', 3), event('b', 1), event('c', 3), event('d', 2), event('e', 1)].join('\n'));

    expect(numbers(lines)).toEqual([2, 5, 4, 1, 3]);
  });

  it('are numbered with the blank ones, which are skipped', async () => {
    const lines = await linesOf(`\n${event('a', 1)}\r\n   \n\t\n${event('b', 2)}`);

    expect(numbers(lines)).toEqual([2, 5]);
    expect(lines.map(({ text }) => text.ok && text.value.trim())).toEqual([event('a', 1), event('b', 2)]);
  });

  it('are received at receivedtime, else at time; a recording only at receivedtime', async () => {
    const both = JSON.stringify({ time: at(9), receivedtime: at(1) });
    const alone = JSON.stringify({ time: at(2) });
    const recording = JSON.stringify({ topic: 't', time: at(0) });

    const lines = await linesOf([both, alone, recording].join('\n'));

    expect(lines.map(({ receivedAt }) => receivedAt && formatInstant(receivedAt))).toEqual([at(1), at(2), at(2)]);
  });

  it('keep the place of the line above where they do not say when, and have no time before the first that does', async () => {
    const lines = await linesOf(['broken', event('late', 5), '{"half', event('early', 2), '[1]'].join('\n'));

    expect(lines.map(({ number, receivedAt }) => [number, receivedAt && formatInstant(receivedAt)])).toEqual([
      [1, undefined],
      [4, at(2)],
      [5, at(2)],
      [2, at(5)],
      [3, at(5)],
    ]);
  });

  it('are told when they are no text or longer than any line that is read', async () => {
    const long = 'x'.repeat(500_000);
    const content = Buffer.concat([Buffer.from([0xff, 0xfe, 10]), Buffer.from(`${long}\n${event('a', 1)}\n`)]);

    const lines = await linesOf(content);

    expect(lines.map(({ text }) => (text.ok ? text.value : text.failure.reason))).toEqual([
      'not-utf8',
      'too-large',
      event('a', 1),
    ]);
  });

  it('begin after a byte order mark', async () => {
    const [line] = await linesOf(`\uFEFF${event('a', 1)}`);

    expect(line?.text).toEqual({ ok: true, value: event('a', 1) });
  });

  test.prop(
    [fc.array(fc.record({ second: fc.nat(5), pad: fc.nat(200_000), blank: fc.boolean() }), { maxLength: 25 })],
    { numRuns: 40, seed: 20260302 },
  )('come back whole and in stable order, however they fall on the chunks that are read', async (given) => {
    const made = given.map(({ second, pad, blank }, index) => ({
      second,
      text: JSON.stringify({ id: index, receivedtime: at(second), pad: 'å'.repeat(pad / 8) }),
      blank,
    }));

    const lines = await linesOf(made.map(({ text, blank }) => `${blank ? '\n' : ''}${text}\n`).join(''));

    const expected = made.toSorted((one, other) => one.second - other.second).map(({ text }) => text);
    expect(lines.map(({ text }) => text.ok && text.value)).toEqual(expected);
  });
});
