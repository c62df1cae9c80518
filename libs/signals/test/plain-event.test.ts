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

/** Values that one place or another takes, or nearly takes. */
const oddValues = fc.oneof(
  fc.constantFrom(...[undefined, null, '', '1.0', 'riser.signal.v1', 'riser.signal.v2', 'active', 'restored']),
  fc.constantFrom(...['performed', 'waterflow', 'reset', 'periodic-test', 'flow', 'prime-pressure', 'psi', 'gpm']),
  fc.constantFrom(0, -0, 3, 3.5, 65_535, 65_536, -1, 1e9, -1e9, 1e9 + 1, 1e308, Number.NaN, Number.POSITIVE_INFINITY),
  fc.constantFrom(...['2026-03-02T08:14:07.120Z', '2026-02-30T08:14:07.120Z', '2026-03-02T08:14:07+01:00', '0042']),
  fc.constantFrom(...['/a/%41', '/a/%4', '/a/é', 'a b', '\u007f', '\u0080', '\ud800', '\u{1f525}', '1\n', '٣']),
  fc.constantFrom<unknown>({}, [], [1], true, { signal: 'waterflow', state: 'active' }),
  fc.integer({ min: 195, max: 205 }).map((length) => 'x'.repeat(length)),
  fc.integer({ min: 38, max: 42 }).map((length) => '7'.repeat(length)),
  fc.string({ unit: 'binary', maxLength: 5 }),
);

const names = ['specversion', 'id', 'source', 'type', 'subject', 'time', 'sequence', 'data', 'datacontenttype'];
const dataNames = ['signal', 'state', 'point', 'text', 'value', 'unit', '__proto__', 'more'];
const changes = fc.array(fc.tuple(fc.constantFrom(...names, '__proto__', 'Ext', 'ext'), oddValues), { maxLength: 2 });
const dataChanges = fc.array(fc.tuple(fc.constantFrom(...dataNames), oddValues), { maxLength: 3 });

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
    for (const data of [
      example.data,
      { signal: 'supply-valve', state: 'restored', point: 4 },
      { signal: 'silence', state: 'performed' },
      { signal: 'periodic-test', state: 'active' },
      { signal: 'supply-pressure', value: 90, unit: 'psi' },
      { signal: 'flow', value: 1_900.5, unit: 'L/min', point: 9 },
    ])
      expect(readPlainEvent({ ...example, data })).toEqual({
        ...example,
        time: instant(Date.UTC(2026, 2, 2, 8, 14, 7, 120)),
        data,
      });
  });
});
