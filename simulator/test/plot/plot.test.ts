import { fc, test } from '@fast-check/vitest';
import { describe, expect, it } from 'vitest';
import { plot, plottedStory, runStory } from '../../src/index.ts';
import { placeOf, scenesOf, ticksOf } from '../../src/plot/scenes.ts';
import { speakTime } from '../../src/plot/speak-time.ts';
import { storyOf, trip } from '../stage/tell.ts';

const page = { left: 100, right: 1_400, gap: 16 };

describe('the scenes of a drawing', () => {
  test.prop([fc.array(fc.double({ min: 0, max: 20_000, noNaN: true }), { maxLength: 60 })])(
    'show every moment once, in order, within the page and in so many that they can be read',
    (moments) => {
      const scenes = scenesOf(moments, [0, 20_000], page);

      for (const at_s of moments)
        expect(scenes.filter(({ from_s, to_s }) => from_s <= at_s && at_s <= to_s)).toHaveLength(1);
      expect(scenes.length).toBeLessThanOrEqual(9);
      expect(scenes[0]?.left).toBe(page.left);
      expect(scenes.at(-1)?.right).toBeCloseTo(page.right, 6);
      scenes.slice(1).forEach(({ from_s, left }, index) => {
        expect(from_s).toBeGreaterThan(scenes[index]?.to_s ?? Infinity);
        expect(left).toBeCloseTo((scenes[index]?.right ?? NaN) + page.gap, 6);
      });
    },
  );

  it('draws a second of a trip as wide as it can be read', () => {
    const [cascade] = scenesOf([600, 600.5, 601, 3_000, 3_010, 3_600], [0, 4_000], page);

    expect((cascade?.right ?? 0) - (cascade?.left ?? 0)).toBeGreaterThan(150);
  });

  it('marks even times, far enough from each other', () => {
    const scene = { from_s: 599.7, to_s: 603.2, left: 100, right: 450 };
    const ticks = ticksOf(scene, 64);

    expect(ticks).toEqual([600, 601, 602, 603]);
    expect(placeOf(scene, 601) - placeOf(scene, 600)).toBeGreaterThan(64);
  });

  it.each([
    [0, '0:00'],
    [90.5, '1:30.5'],
    [3_725, '1:02:05'],
    [59.96, '1:00'],
  ])('writes %s s as %s', (at_s, text) => {
    expect(speakTime(at_s)).toBe(text);
  });
});

describe('the drawing of a story', () => {
  const played = runStory(storyOf(trip), { traced: true });
  const drawing = { title: 'Fire & <water>', subtitle: 'deluge-1', length_s: 1_800, units: 'psi' } as const;
  const svg = plot(plottedStory(played, drawing));

  it('names its quantities with their units, its lanes, and what was done', () => {
    for (const text of ['Pressures, psi', 'Flows, gpm', 'supply valve', 'system drain', 'waterflow (3)', 'supply shut'])
      expect(svg).toContain(`>${text}<`.replace('>supply shut', 'supply shut'));
    expect(plot(plottedStory(played, { ...drawing, units: 'bar' }))).toContain('>Pressures, bar<');
  });

  it('has lanes for what moved only, besides those that are always there', () => {
    expect(svg).not.toContain('>alarm test valve<');
    expect(svg).not.toContain('>manual release<');
  });

  it('tells curves apart by their strokes, not by their colour alone', () => {
    const dashes = plottedStory(played, drawing).panels.map(({ curves }) => curves.length);
    const patterns = new Set(
      [...svg.matchAll(/<path [^>]*fill="none"[^>]*>/g)].map(([path]) => /dasharray="([^"]*)"/.exec(path)?.[1]),
    );

    expect(patterns.size).toBe(Math.max(...dashes));
  });

  it('is a document whose numbers are numbers and whose text is text', () => {
    expect(svg).toContain('Fire &amp; &lt;water&gt;');
    expect(svg).not.toMatch(/NaN|Infinity|undefined|<water>/);
    const opened = [...svg.matchAll(/<([a-z]+)(?: [^>]*)?>/g)]
      .filter(([tag]) => !tag.endsWith('/>'))
      .map(([, name]) => name)
      .sort();
    const closed = [...svg.matchAll(/<\/([a-z]+)>/g)].map(([, name]) => name).sort();
    expect(closed).toEqual(opened);
  });

  it('reaches the pressures of the plant', () => {
    const outlet = plottedStory(played, drawing).panels[0]?.curves.find(({ name }) => name === 'outlet')?.samples ?? [];
    const highest = Math.max(...outlet.map(([, value]) => value));

    // MODEL 2: 82.5 psi at the outlet in steady flow, default riser.
    expect(Math.abs(highest - 82.5)).toBeLessThan(1);
  });
});
