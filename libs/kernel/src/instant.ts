import type { Brand } from './brand.ts';
import type { Result } from './result.ts';
import { fail, ok } from './result.ts';

/** A moment in time: whole milliseconds since 1970-01-01T00:00:00Z. */
export type Instant = Brand<number, 'Instant'>;

/** Years 0001 to 9999, as RFC 3339 writes them; a leap second is read as the first moment after it. */
const rfc3339 = /^(\d{4})-(\d{2})-(\d{2})[Tt](\d{2}):(\d{2}):(\d{2})(?:\.(\d+))?(?:([Zz])|([+-])(\d{2}):(\d{2}))$/;

const daysIn = (year: number, month: number): number => new Date(Date.UTC(year, month, 0)).getUTCDate();

/** Milliseconds as an instant; for clocks and arithmetic. */
export const instant = (ms: number): Instant => Math.round(ms) as Instant;

/** Reads an RFC 3339 date and time with offset. Fractions finer than a millisecond are cut off. */
export function parseInstant(text: string): Result<Instant, 'malformed-time'> {
  const parts = rfc3339.exec(text);
  if (parts === null) return fail('malformed-time');
  const field = (index: number): number => Number(parts[index] ?? 0);
  const [year, month, day, hour, minute, second] = [field(1), field(2), field(3), field(4), field(5), field(6)];
  const [offsetHour, offsetMinute] = [field(10), field(11)];
  const inRange =
    year >= 1 &&
    month >= 1 &&
    month <= 12 &&
    day >= 1 &&
    day <= daysIn(year, month) &&
    hour <= 23 &&
    minute <= 59 &&
    second <= 60 &&
    offsetHour <= 23 &&
    offsetMinute <= 59;
  if (!inRange) return fail('malformed-time');
  const ms = Number((parts[7] ?? '').slice(0, 3).padEnd(3, '0'));
  const offset_ms = (parts[9] === '-' ? -1 : 1) * (offsetHour * 60 + offsetMinute) * 60_000;
  const date = new Date(0);
  date.setUTCFullYear(year, month - 1, day);
  date.setUTCHours(hour, minute, second, second === 60 ? 0 : ms);
  const utc = date.getTime() - offset_ms;
  if (second === 60 && new Date(utc).toISOString().slice(11, 19) !== '00:00:00') return fail('malformed-time');
  return ok(utc as Instant);
}

/** RFC 3339 in UTC with milliseconds. */
export const formatInstant = (at: Instant): string => new Date(at).toISOString();
