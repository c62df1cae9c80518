import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Json } from '@tidemark/kernel';
import { canonicalJson } from '@tidemark/kernel';

/** The definition, the slow way: every object rebuilt with its keys sorted by code unit, written by hand. */
function definition(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(definition).join(',')}]`;
  if (typeof value !== 'object' || value === null) return JSON.stringify(value);
  const entries = Object.entries(value).toSorted(([one], [other]) => (one < other ? -1 : 1));
  return `{${entries.map(([key, member]) => `${JSON.stringify(key)}:${definition(member)}`).join(',')}}`;
}

describe('canonical JSON', () => {
  it('puts the keys in order at every depth, whatever the value', () => {
    fc.assert(
      fc.property(fc.jsonValue({ stringUnit: 'binary', maxDepth: 4 }), (value) => {
        expect(canonicalJson(value as Json)).toBe(definition(value));
      }),
    );
  });

  it.each<[Json, string]>([
    [{ b: 1, a: [{ d: 2, c: null }] }, '{"a":[{"c":null,"d":2}],"b":1}'],
    [{ a: { y: 1, x: 2 }, b: 1 }, '{"a":{"x":2,"y":1},"b":1}'],
    // Engines list whole-number keys first and by value; by code unit "10" comes before "9".
    [{ '9': 0, '10': 1, a: 2 }, '{"10":1,"9":0,"a":2}'],
    [{ '': 0, '\u{1f525}': 1, '\uffff': 2 }, '{"":0,"\u{1f525}":1,"\uffff":2}'],
  ])('%j', (value, text) => {
    expect(canonicalJson(value)).toBe(text);
  });

  it('leaves out what is undefined, whether or not the keys stand in order', () => {
    expect(canonicalJson({ a: 1, b: undefined, c: 2 } as never)).toBe('{"a":1,"c":2}');
    expect(canonicalJson({ c: 2, b: undefined, a: 1 } as never)).toBe('{"a":1,"c":2}');
  });
});
