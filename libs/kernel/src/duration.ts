import type { Result } from './result.ts';
import { fail, ok } from './result.ts';

const iso8601 = /^P(?:(\d+(?:\.\d+)?)D)?(?:T(?:(\d+(?:\.\d+)?)H)?(?:(\d+(?:\.\d+)?)M)?(?:(\d+(?:\.\d+)?)S)?)?$/;
const short = /^(\d+(?:\.\d+)?)(ms|s|m|h|d)$/;
const unit_ms: Readonly<Record<string, number>> = { ms: 1, s: 1_000, m: 60_000, h: 3_600_000, d: 86_400_000 };

/** Reads a duration, ISO 8601 (`PT1M30S`, days at most) or short (`90s`, `5m`, `3h`, `2d`, `250ms`), into milliseconds. */
export function parseDuration_ms(text: string): Result<number, 'malformed-duration'> {
  const brief = short.exec(text);
  if (brief !== null) return ok(Math.round(Number(brief[1]) * (unit_ms[brief[2] ?? ''] ?? 0)));
  const parts = iso8601.exec(text);
  if (parts === null || text === 'P' || text.endsWith('T')) return fail('malformed-duration');
  const part = (index: number): number => Number(parts[index] ?? 0);
  return ok(Math.round(part(1) * 86_400_000 + part(2) * 3_600_000 + part(3) * 60_000 + part(4) * 1_000));
}

const plural = (count: number, word: string): string => `${String(count)} ${word}`;

/** A duration as a person says it, two units at most: `8 min 54 s`, `2 h`, `3 d 4 h`. */
export function speakDuration(ms: number): string {
  const total_s = Math.round(Math.abs(ms) / 1_000);
  if (total_s < 1) return 'under 1 s';
  const units: readonly (readonly [number, string])[] = [
    [86_400, 'd'],
    [3_600, 'h'],
    [60, 'min'],
    [1, 's'],
  ];
  const first = units.findIndex(([size]) => total_s >= size);
  const [size, word] = units[first] ?? [1, 's'];
  const [nextSize, nextWord] = units[first + 1] ?? [1, 's'];
  const rest = Math.floor((total_s % size) / nextSize);
  const head = plural(Math.floor(total_s / size), word);
  return size === 1 || rest === 0 ? head : `${head} ${plural(rest, nextWord)}`;
}
