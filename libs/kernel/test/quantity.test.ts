import { describe, expect, it } from 'vitest';
import { inUnit, parseDuration_ms, parseQuantity, speakDuration } from '@tidemark/kernel';

const si = (text: string): number => {
  const parsed = parseQuantity(text);
  return parsed.ok ? parsed.value.si : Number.NaN;
};

describe('a quantity with its unit', () => {
  it.each([
    // NIST SP 811 (2008), appendix B.8: psi to Pa 6.894757E+03; gallon to m3 3.785412E-03; gpm to m3/s 6.309020E-05.
    ['1 psi', 6894.757],
    ['1 gal', 3.785412e-3],
    ['1 gpm', 6.30902e-5],
    ['1 bar', 1e5],
    ['1 ft', 0.3048],
    ['32 °F', 273.15],
    ['0 °C', 273.15],
    ['40 °F', 277.594444],
  ])('%s is %s in SI', (text, expected) => {
    expect(si(text) / expected).toBeCloseTo(1, 6);
  });

  it('turns a K-factor into the metric one as the trade does, 14.416 L/min/bar^0.5 for 1 gpm/psi^0.5', () => {
    // NFPA 13 prints the factor 14.4 (from memory).
    expect(si('5.6 gpm/psi^0.5') / si('1 L/min/bar^0.5')).toBeCloseTo(5.6 * 14.416, 2);
  });

  it('goes there and back', () => {
    expect(inUnit(si('90 psi'), 'psi')).toBeCloseTo(90, 10);
  });

  it.each(['90', 'psi', '90 furlongs', '', '1 constructor', '1 __proto__'])('%s is refused', (text) => {
    expect(parseQuantity(text).ok).toBe(false);
  });
});

describe('a duration', () => {
  it.each([
    ['PT1M30S', 90_000],
    ['P1DT2H', 93_600_000],
    ['PT0.5S', 500],
    ['90s', 90_000],
    ['2d', 172_800_000],
  ])('%s is %s ms', (text, ms) => {
    expect(parseDuration_ms(text)).toEqual({ ok: true, value: ms });
  });

  it.each(['P', 'PT', 'P1Y', '5', 'm', '-5m'])('%s is refused', (text) => {
    expect(parseDuration_ms(text).ok).toBe(false);
  });

  it.each([
    [534_000, '8 min 54 s'],
    [7_200_000, '2 h'],
    [90_061_000, '1 d 1 h'],
    [200, 'under 1 s'],
  ])('of %s ms is said as %s', (ms, text) => {
    expect(speakDuration(ms)).toBe(text);
  });
});
