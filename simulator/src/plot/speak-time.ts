/** A moment of the story as a clock shows it: `0:30`, `1:02:05.5`. */
export function speakTime(at_s: number): string {
  const tenths = Math.round(at_s * 10);
  const [hours, minutes, seconds] = [
    Math.floor(tenths / 36_000),
    Math.floor(tenths / 600) % 60,
    Math.floor(tenths / 10) % 60,
  ];
  const two = (value: number): string => String(value).padStart(2, '0');
  const fraction = tenths % 10 === 0 ? '' : `.${String(tenths % 10)}`;
  return `${hours === 0 ? String(minutes) : `${String(hours)}:${two(minutes)}`}:${two(seconds)}${fraction}`;
}
