import { formatInstant, instant } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import { parseUntil, stopAt } from '../src/replay/until.ts';

const last = instant(Date.UTC(2026, 2, 2, 8));
const stop = (text: string, from: typeof last | undefined = last): string | undefined => {
  const until = parseUntil(text);
  const at = until.ok ? stopAt(until.value, from) : undefined;
  return at && formatInstant(at);
};

describe('--until', () => {
  it.each([
    ['+90s', '2026-03-02T08:01:30.000Z'],
    ['+5m', '2026-03-02T08:05:00.000Z'],
    ['+3h', '2026-03-02T11:00:00.000Z'],
    ['+2d', '2026-03-04T08:00:00.000Z'],
    ['+PT1H30M', '2026-03-02T09:30:00.000Z'],
    ['+P1DT1S', '2026-03-03T08:00:01.000Z'],
    ['2026-03-02T10:00:00+01:00', '2026-03-02T09:00:00.000Z'],
  ])('%s after a last line at 08:00 is %s', (text, at) => {
    expect(stop(text)).toBe(at);
  });

  it.each(['90s', '-90s', '+90', '+', '', 'tomorrow', '2026-03-02', '2026-03-02T10:00:00', '+PT', '+1x'])(
    'refuses "%s"',
    (text) => {
      expect(parseUntil(text)).toEqual({ ok: false, failure: 'malformed-until' });
    },
  );

  it('never turns the clock back', () => {
    expect(stop('2026-03-02T07:00:00Z')).toBe('2026-03-02T08:00:00.000Z');
  });

  it('gives a time of its own where no line has one, and none where it counts from the last line', () => {
    const time = parseUntil('2026-03-02T07:00:00Z');
    const span = parseUntil('+5m');

    expect(time.ok && stopAt(time.value, undefined)).toBe(instant(Date.UTC(2026, 2, 2, 7)));
    expect(span.ok && stopAt(span.value, undefined)).toBeUndefined();
  });

  it('left out, stops the clock at the last line', () => {
    expect(stopAt(undefined, last)).toBe(last);
  });
});
