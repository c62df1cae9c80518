import type { Stretch } from './time-text.ts';

/** A stretch of the story in words. */
export const speakStretch = ({ from_ms, to_ms }: Stretch): string =>
  `between ${speakAt(Math.max(0, from_ms))} and ${speakAt(to_ms)}`;

/** A time of the story as its files write it: `10m 30.25s`. */
export function speakAt(ms: number): string {
  const total_s = ms / 1_000;
  const [hours, minutes] = [Math.floor(total_s / 3_600), Math.floor((total_s % 3_600) / 60)];
  const seconds = Math.round((total_s % 60) * 1_000) / 1_000;
  const parts = [hours > 0 ? `${hours}h` : '', minutes > 0 ? `${minutes}m` : '', `${seconds}s`];
  return parts.filter((part) => part !== '').join(' ');
}
