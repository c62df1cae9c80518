import { instant } from '@tidemark/kernel';
import { encodeSignal } from '@tidemark/signals';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readPlainEvent } from '../src/plain-event.ts';
import { signalEvent } from '../src/signal-schema.ts';
import { example } from './message.ts';
import { anySignal } from './signal-arbitrary.ts';

/** Whatever the short cut answers, the schema must answer too. */
function expectNoOtherAnswer(value: unknown): void {
  const plain = readPlainEvent(value);
  if (plain === undefined) return;
  const parsed = signalEvent.safeParse(value);
  expect(parsed.success ? parsed.data : parsed.error).toEqual(plain);
}

const texts = ['', '1.0', 'riser.signal.v1', 'riser.signal.v2', 'active', 'restored', 'performed', 'deluge-1', ' '];
const words = ['waterflow', 'reset', 'periodic-test', 'flow', 'prime-pressure', 'psi', 'gpm', 'toString'];
const numbers = [0, -0, 3, 3.5, 65_535, 65_536, -1, 1e9, -1e9, 1e9 + 1, -1e9 - 1, 1e308, Number.NaN, Infinity];
const times = ['2026-03-02T08:14:07.120Z', '2026-02-30T08:14:07.120Z', '2026-03-02T08:14:07+01:00', '2026-03-02'];
const strange = [
  '/a/%41',
  '/a/%4',
  '/a/é',
  'a b',
  'a\nb',
  '\u007f',
  '\u0080',
  '\ud800',
  '\u{1f525}',
  '1\n',
  '٣',
  '<',
  '"',
];
const lengths = [1, 39, 40, 41, 199, 200, 201, 1_024, 1_025];
const shapes = [undefined, null, true, {}, [], [1], { signal: 'waterflow', state: 'active' }];

/** Values that one place or another takes, or nearly takes. */
const oddValues: readonly unknown[] = [
  ...texts,
  ...words,
  ...numbers,
  ...times,
  ...strange,
  ...lengths.flatMap((length) => ['x'.repeat(length), '7'.repeat(length)]),
  ...shapes,
];

const names = ['specversion', 'id', 'source', 'type', 'subject', 'time', 'sequence', 'data', 'datacontenttype'];
const more = ['dataschema', 'receivedtime', '__proto__', 'Ext', 'ext', ''];
const dataNames = ['signal', 'state', 'point', 'text', 'value', 'unit', '__proto__', 'more'];
const oddValue = fc.oneof(fc.constantFrom(...oddValues), fc.string({ unit: 'binary', maxLength: 5 }));
const changes = fc.array(fc.tuple(fc.constantFrom(...names, ...more), oddValue), { maxLength: 2 });
const dataChanges = fc.array(fc.tuple(fc.constantFrom(...dataNames), oddValue), { maxLength: 3 });

const plainData = [
  example.data,
  { signal: 'supply-valve', state: 'restored', point: 4 },
  { signal: 'silence', state: 'performed' },
  { signal: 'periodic-test', state: 'active' },
  { signal: 'supply-pressure', value: 90, unit: 'psi' },
  { signal: 'flow', value: 1_900.5, unit: 'L/min', point: 9 },
];

const changed = (value: object, by: readonly (readonly [string, unknown])[]): object => {
  // As `JSON.parse` does it: `__proto__` becomes a member like any other.
  const copy: object = Object.fromEntries([...Object.entries(value), ...by]);
  return copy;
};

describe('the short cut through the schema of a signal', () => {
  it('answers as the schema does for whatever is sent as a signal', () => {
    fc.assert(
      fc.property(anySignal, (signal) =>
        expectNoOtherAnswer(JSON.parse(new TextDecoder().decode(encodeSignal(signal).payload))),
      ),
    );
  });

  it('answers as the schema does when one thing of a signal is changed', () => {
    for (const value of oddValues) {
      for (const name of [...names, ...more]) expectNoOtherAnswer(changed(example, [[name, value]]));
      for (const data of plainData)
        for (const name of dataNames) expectNoOtherAnswer({ ...example, data: changed(data, [[name, value]]) });
    }
  });

  it('answers as the schema does for what is nearly a signal', () => {
    fc.assert(
      fc.property(changes, dataChanges, (around, within) => {
        expectNoOtherAnswer(changed({ ...example, data: changed(example.data, within) }, around));
      }),
      { numRuns: 5_000 },
    );
  });

  it('answers as the schema does for any JSON', () => {
    fc.assert(fc.property(fc.jsonValue({ maxDepth: 3 }), (value) => expectNoOtherAnswer(value)));
  });

  it('is taken by what panels send', () => {
    for (const data of plainData)
      expect(readPlainEvent({ ...example, data })).toEqual({
        ...example,
        time: instant(Date.UTC(2026, 2, 2, 8, 14, 7, 120)),
        data,
      });
  });
});
