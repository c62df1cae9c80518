import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatInstant, instant, parseInstant } from '@tidemark/kernel';

const read = (text: string): string => {
  const parsed = parseInstant(text);
  return parsed.ok ? formatInstant(parsed.value) : parsed.failure;
};

describe('an RFC 3339 time', () => {
  it.each([
    // RFC 3339, section 5.8, the examples of the standard (from memory).
    ['1985-04-12T23:20:50.52Z', '1985-04-12T23:20:50.520Z'],
    ['1996-12-19T16:39:57-08:00', '1996-12-20T00:39:57.000Z'],
    ['1990-12-31T23:59:60Z', '1991-01-01T00:00:00.000Z'],
    ['1990-12-31T15:59:60-08:00', '1991-01-01T00:00:00.000Z'],
    ['1937-01-01T12:00:27.87+00:20', '1937-01-01T11:40:27.870Z'],
    // Section 5.6 allows lower case; fractions finer than a millisecond are cut off (choice of this project).
    ['2026-03-02t08:14:07.1239z', '2026-03-02T08:14:07.123Z'],
    ['2024-02-29T00:00:00Z', '2024-02-29T00:00:00.000Z'],
    ['0001-01-01T00:00:00Z', '0001-01-01T00:00:00.000Z'],
  ])('%s is %s', (text, utc) => {
    expect(read(text)).toBe(utc);
  });

  it.each([
    '2026-03-02T08:14:07',
    '2026-03-02 08:14:07Z',
    '2026-02-29T00:00:00Z',
    '2026-13-01T00:00:00Z',
    '2026-03-02T24:00:00Z',
    '2026-03-02T08:14:60Z',
    '2026-03-02T08:14:07+24:00',
    '2026-3-2T08:14:07Z',
    '0000-01-01T00:00:00Z',
    '',
  ])('%s is refused', (text) => {
    expect(read(text)).toBe('malformed-time');
  });
});

/** ECMAScript's own reading and writing of the same form (ECMA-262, "Date Time String Format") is the judge. */
describe('the form that panels send', () => {
  const field = (most: number, digits: number): fc.Arbitrary<string> =>
    fc.integer({ min: 0, max: most }).map((value) => String(value).padStart(digits, '0'));

  it('is read as ECMAScript reads it, and refused where its day or hour does not exist', () => {
    const fields = fc.tuple(
      field(9_999, 4),
      field(13, 2),
      field(32, 2),
      field(24, 2),
      field(60, 2),
      field(59, 2),
      field(999, 3),
    );
    fc.assert(
      fc.property(fields, ([year, month, day, hour, minute, second, ms]) => {
        const text = `${year}-${month}-${day}T${hour}:${minute}:${second}.${ms}Z`;
        const date = new Date(text);
        const exists = year !== '0000' && !Number.isNaN(date.getTime()) && date.toISOString() === text;

        expect(read(text)).toBe(exists ? text : 'malformed-time');
      }),
      { numRuns: 2_000 },
    );
  });

  it('is refused with any other character in it', () => {
    const plain = '2026-03-02T08:14:07.120Z';
    const changed = fc.tuple(fc.nat(plain.length - 1), fc.string({ unit: 'binary-ascii', minLength: 1, maxLength: 1 }));
    fc.assert(
      fc.property(changed, ([index, character]) => {
        const text = `${plain.slice(0, index)}${character}${plain.slice(index + 1)}`;
        const isForm = /^\d{4}-\d\d-\d\d[Tt]\d\d:\d\d:\d\d\.\d{3}[Zz]$/.test(text);

        if (!isForm) expect(read(text)).toBe('malformed-time');
      }),
      { numRuns: 2_000 },
    );
  });

  it('is written as ECMAScript writes it, whatever the moment', () => {
    const years0to9999 = fc.integer({ min: -62_167_219_200_000, max: 253_402_300_799_999 });
    // 0000-03-01 and 10000-01-01, and the millisecond before each.
    const turns = fc.constantFrom(-62_162_035_200_000, -62_162_035_200_001, 253_402_300_799_999, 253_402_300_800_000);
    fc.assert(
      fc.property(fc.oneof(years0to9999, turns, fc.integer({ min: -8.64e15, max: 8.64e15 })), (ms) => {
        expect(formatInstant(instant(ms))).toBe(new Date(ms).toISOString());
      }),
      { numRuns: 5_000 },
    );
  });

  it('is written as ECMAScript writes it on every day of 400 years, the whole cycle of leap days', () => {
    for (let day = 0; day <= 146_097; day += 1) {
      const ms = day * 86_400_000 - 1;
      if (formatInstant(instant(ms)) !== new Date(ms).toISOString()) expect(ms).toBe('written the same');
    }
  });

  it('is not written for what is no date', () => {
    for (const ms of [Number.NaN, Number.POSITIVE_INFINITY, 8.64e15 + 1])
      expect(() => formatInstant(instant(ms))).toThrow(RangeError);
  });
});
