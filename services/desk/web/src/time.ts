import { speakDuration } from '@tidemark/kernel';

const formats = new Map<string, Intl.DateTimeFormat>();

function format(timeZone: string, options: Intl.DateTimeFormatOptions, name: string): Intl.DateTimeFormat {
  const key = `${timeZone} ${name}`;
  const known = formats.get(key) ?? new Intl.DateTimeFormat('en-GB', { ...options, timeZone });
  formats.set(key, known);
  return known;
}

/** `08:22:33` in the zone of the site. */
export const clockTime = (at: string | number, timeZone: string): string =>
  format(timeZone, { hour: '2-digit', minute: '2-digit', second: '2-digit', hour12: false }, 'clock').format(
    new Date(at),
  );

/** `08:22:33.120`: a cascade is over in two seconds, and its order is in the milliseconds. */
export const exactTime = (at: string, timeZone: string): string =>
  `${clockTime(at, timeZone)}.${new Date(at).toISOString().slice(20, 23)}`;

/** `2 Mar 2026` in the zone of the site. */
export const dayOf = (at: string | number, timeZone: string): string =>
  format(timeZone, { day: 'numeric', month: 'short', year: 'numeric' }, 'day').format(new Date(at));

/** `08:22:33`, with the day before it when that is not today. */
export function dayAndTime(at: string | number, timeZone: string, now: string | number): string {
  const day = dayOf(at, timeZone);
  return day === dayOf(now, timeZone) ? clockTime(at, timeZone) : `${day}, ${clockTime(at, timeZone)}`;
}

/** `2 Mar 2026, 07:22:33.120 UTC`: what stands behind every time as its title. */
export const utc = (at: string | number): string =>
  `${dayOf(at, 'UTC')}, ${new Date(at).toISOString().slice(11, 23)} UTC`;

/** The town of a zone, as people call it: `Europe/Oslo` is `Oslo`. */
export const town = (timeZone: string): string => (timeZone.split('/').at(-1) ?? timeZone).replaceAll('_', ' ');

/** `27 s late` or `in 41 s`. */
export function untilOrLate(at: string, now_ms: number): string {
  const left_ms = Date.parse(at) - now_ms;
  return left_ms < 0 ? `${speakDuration(left_ms)} late` : `in ${speakDuration(left_ms)}`;
}

/** `for 8 min 54 s`. */
export const lasting = (since: string, now_ms: number): string => `for ${speakDuration(now_ms - Date.parse(since))}`;
