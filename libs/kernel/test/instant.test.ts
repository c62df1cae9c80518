import { describe, expect, it } from 'vitest';
import { formatInstant, parseInstant } from '@tidemark/kernel';

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
