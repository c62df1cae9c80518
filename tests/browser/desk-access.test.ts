import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { OpenDesk } from '@tidemark/desk';
import type { AxeResults } from 'axe-core';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { deskOver, launchBrowser, openPage, picture, screens } from './fixtures/browser.ts';
import { deluge1, flowingStation } from './fixtures/quayside-story.ts';

let browser: Browser;
let desk: OpenDesk;
let axe: string;

beforeAll(async () => {
  browser = await launchBrowser();
  desk = await deskOver(await flowingStation());
  axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
});

afterAll(async () => {
  await browser.close();
  await desk.close();
});

const places = [
  { name: 'watch', path: `/risers/${deluge1.account}/${deluge1.riser}`, ready: '.timeline svg .mark' },
  { name: 'fleet', path: '/', ready: '.queue-item' },
  {
    name: 'call',
    path: `/risers/${deluge1.account}/${deluge1.riser}?form=call&about=subscriber`,
    ready: 'form.record',
  },
  { name: 'diagnose', path: `/diagnose/${deluge1.account}/${deluge1.riser}`, ready: '.reasoned .settle' },
  {
    name: 'compared',
    path: `/diagnose/${deluge1.account}/${deluge1.riser}?asOf=2026-03-02T06:57:08.700Z&against=now`,
    ready: '.compared tbody tr',
  },
  { name: 'shift', path: '/shift', ready: '.open-items li' },
  { name: 'events', path: `/events/${deluge1.account}/${deluge1.riser}`, ready: 'tbody tr' },
  { name: 'quarantine', path: '/quarantine', ready: '.quarantine li' },
  {
    name: 'past',
    path: `/risers/${deluge1.account}/${deluge1.riser}?asOf=2026-03-02T06:57:07.900Z`,
    ready: '.band.past',
  },
];

/** WCAG 2.2 A and AA, as far as a program can tell, and what axe calls best practice. */
async function violations(page: Page): Promise<readonly string[]> {
  await page.evaluate(axe);
  const results = await page.evaluate<AxeResults>('axe.run({ resultTypes: ["violations"] })');
  return results.violations.flatMap(({ id, nodes }) =>
    nodes.map(({ target, failureSummary }) => `${id}: ${target.join(' ')}: ${failureSummary ?? ''}`),
  );
}

describe.each(['light', 'dark'] as const)('the page in %s', (colorScheme) => {
  it.each(Object.entries(screens))(
    'breaks no rule of accessibility that a program can test, on the %s screen',
    async (screen, options) => {
      const { page } = await openPage(browser, { ...options, colorScheme });
      for (const { name, path, ready } of places) {
        await page.goto(`${desk.url}${path}`);
        await page.locator(ready).first().waitFor();
        await picture(page, `${name}-${screen}-${colorScheme}`);

        expect({ name, violations: await violations(page) }).toEqual({ name, violations: [] });
      }
      await page.context().close();
    },
  );
});

describe('the page by keyboard alone', () => {
  it('walks the queue, opens, goes back to where one was, and lists its keys', async () => {
    const { page } = await openPage(browser, screens.wide);
    await page.goto(`${desk.url}/risers/${deluge1.account}/${deluge1.riser}`);
    await page.locator('.timeline svg .mark').first().waitFor();
    const focused = () => page.evaluate(() => document.activeElement?.textContent ?? '');

    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('ArrowDown');
    expect(await focused()).toBe('deluge-4, Mill 2 transformer yard');
    await page.keyboard.press('Enter');
    await expect.poll(() => new URL(page.url()).pathname).toBe('/risers/quayside-cold-store/deluge-4');
    await page.keyboard.press('Escape');
    await expect.poll(focused).toBe('deluge-4, Mill 2 transformer yard');
    expect(new URL(page.url()).pathname).toBe('/');

    await page.keyboard.press('?');
    await page.getByRole('dialog', { name: 'Keys' }).waitFor();
    await page.keyboard.press('Escape');
    expect(await page.getByRole('dialog').count()).toBe(0);
    await page.context().close();
  });

  it('reaches everything that can be pressed, each with a visible focus', async () => {
    const { page } = await openPage(browser, screens.wide);
    await page.goto(`${desk.url}/risers/${deluge1.account}/${deluge1.riser}`);
    await page.locator('.timeline svg .mark').first().waitFor();
    const pressable = await page.locator(':is(a[href], button, input, select, [tabindex="0"]):visible').count();
    const seen = new Set<string>();
    for (let press = 0; press < pressable; press += 1) {
      await page.keyboard.press('Tab');
      const { path, outline } = await page.evaluate(() => {
        const element = document.activeElement ?? document.body;
        const all = [...document.querySelectorAll('*')];
        const widths = [undefined, '::after'].map((part) => getComputedStyle(element, part).outlineStyle);
        return {
          path: `${all.indexOf(element)} ${element.textContent}`,
          outline: widths.some((style) => style !== 'none'),
        };
      });
      seen.add(path);
      expect([path, outline]).toEqual([path, true]);
    }

    expect(seen.size).toBe(pressable);
    await page.context().close();
  });

  it('leaves letters alone once they are switched off', async () => {
    const { page } = await openPage(browser, screens.wide);
    await page.goto(`${desk.url}/risers/${deluge1.account}/${deluge1.riser}`);
    await page.locator('.timeline svg .mark').first().waitFor();
    await page.keyboard.press('t');
    await page.locator('.declare').waitFor();
    await page.keyboard.press('Escape');
    await page.locator('.declare').waitFor({ state: 'detached' });
    expect(new URL(page.url()).pathname).toBe(`/risers/${deluge1.account}/${deluge1.riser}`);

    await page.getByRole('button', { name: 'Keys' }).click();
    await page.getByLabel('letters act').uncheck();
    await page.keyboard.press('Escape');
    await page.locator('h1').click();
    await page.keyboard.press('t');
    expect(await page.locator('.declare').count()).toBe(0);
    await page.context().close();
  });
});

describe('the page on a phone', () => {
  it('shows the list, then one riser, with no sideways scrolling and targets a thumb can hit', async () => {
    const { page } = await openPage(browser, screens.phone);
    await page.goto(desk.url);
    await page.locator('.queue-item').first().waitFor();
    expect(new URL(page.url()).pathname).toBe('/');
    await page.locator('.queue-item a').first().tap();
    await page.locator('.timeline svg .mark').first().waitFor();
    await picture(page, 'phone-riser', true);

    const wider = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(wider).toBeLessThanOrEqual(0);
    const acknowledge = await page.locator('.actions .primary').boundingBox();
    expect(acknowledge?.height).toBeGreaterThanOrEqual(48);
    await page.getByRole('button', { name: 'All risers' }).tap();
    await page.locator('.queue-item').first().waitFor();
    await page.context().close();
  });
});
