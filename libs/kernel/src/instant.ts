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
  const plain = parsePlain(text);
  return plain === undefined ? parseAny(text) : ok(plain);
}

const plainForm = 'yyyy-mm-ddThh:mm:ss.mmmZ';

/** The form that nearly every panel sends, `2026-03-02T08:14:07.120Z`, a day that every month has; anything else is left to the rule. */
function parsePlain(text: string): Instant | undefined {
  if (text.length !== plainForm.length) return undefined;
  if (text[4] !== '-' || text[7] !== '-' || text[10] !== 'T' || text[13] !== ':') return undefined;
  if (text[16] !== ':' || text[19] !== '.' || text[23] !== 'Z') return undefined;
  const year = digits(text, 0) * 100 + digits(text, 2);
  const month = digits(text, 5);
  const day = digits(text, 8);
  const hour = digits(text, 11);
  const minute = digits(text, 14);
  const second = digits(text, 17);
  const ms = digits(text, 20) * 10 + digit(text, 22);
  const isPlain =
    year >= 100 &&
    month >= 1 &&
    month <= 12 &&
    day >= 1 &&
    day <= 28 &&
    hour <= 23 &&
    minute <= 59 &&
    second <= 59 &&
    ms >= 0;
  return isPlain ? (Date.UTC(year, month - 1, day, hour, minute, second, ms) as Instant) : undefined;
}

/** Two digits as a number, or `NaN`, which is within no range. */
const digits = (text: string, index: number): number => digit(text, index) * 10 + digit(text, index + 1);

function digit(text: string, index: number): number {
  const value = text.charCodeAt(index) - 48;
  return value >= 0 && value <= 9 ? value : Number.NaN;
}

function parseAny(text: string): Result<Instant, 'malformed-time'> {
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

const day_ms = 86_400_000;

/** From 0000-03-01 to 9999-12-31: the days whose year has four digits and that the arithmetic below begins with. */
const plainDays = { first: -719_468, last: 2_932_896 } as const;

/** RFC 3339 in UTC with milliseconds; throws a `RangeError` for what is no date. */
export function formatInstant(at: Instant): string {
  const day = Math.floor(at / day_ms);
  if (!(day >= plainDays.first && day <= plainDays.last)) return new Date(at).toISOString();
  const ofDay_ms = at - day * day_ms;
  const second = Math.floor(ofDay_ms / 1_000);
  const minute = Math.floor(second / 60);
  const time = `${two(Math.floor(minute / 60))}:${two(minute % 60)}:${two(second % 60)}`;
  return `${dateOf(day)}T${time}.${three(Math.floor(ofDay_ms % 1_000))}Z`;
}

/**
 * The Gregorian date of a day since 1970. Years begin with March here, so that the leap day comes last; 400 of them
 * have 146,097 days, 100 have 36,524, 4 have 1,461, and the months from March on have 153 days in each five.
 */
function dateOf(day: number): string {
  const sinceMarch0 = day - plainDays.first;
  const cycle = Math.floor(sinceMarch0 / 146_097);
  const ofCycle = sinceMarch0 - cycle * 146_097;
  const leapDays = Math.floor(ofCycle / 1_460) - Math.floor(ofCycle / 36_524) + Math.floor(ofCycle / 146_096);
  const yearOfCycle = Math.floor((ofCycle - leapDays) / 365);
  const ofYear = ofCycle - (365 * yearOfCycle + Math.floor(yearOfCycle / 4) - Math.floor(yearOfCycle / 100));
  const monthFromMarch = Math.floor((5 * ofYear + 2) / 153);
  const dayOfMonth = ofYear - Math.floor((153 * monthFromMarch + 2) / 5) + 1;
  const month = monthFromMarch < 10 ? monthFromMarch + 3 : monthFromMarch - 9;
  const year = 400 * cycle + yearOfCycle + (month <= 2 ? 1 : 0);
  return `${two(Math.floor(year / 100))}${two(year % 100)}-${two(month)}-${two(dayOfMonth)}`;
}

const two = (value: number): string => (value < 10 ? `0${value}` : String(value));
const three = (value: number): string => (value < 100 ? `0${two(value)}` : String(value));
