import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { OpenDesk } from '@tidemark/desk';
import type { AxeResults } from 'axe-core';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { WatchedPage } from './fixtures/browser.ts';
import { deskOver, launchBrowser, openPage, picture, screens } from './fixtures/browser.ts';
import type { MemoryStation } from './fixtures/memory-station.ts';
import { contact, deluge1, flowingStation } from './fixtures/quayside-story.ts';

let browser: Browser;
let station: MemoryStation;
let desk: OpenDesk;
let watched: WatchedPage;
let page: Page;

beforeAll(async () => {
  browser = await launchBrowser();
});

afterAll(() => browser.close());

beforeEach(async () => {
  station = await flowingStation();
  desk = await deskOver(station);
  watched = await openPage(browser, { ...screens.phone, colorScheme: 'dark' });
  page = watched.page;
  await page.goto(`${desk.url}/crew/${deluge1.account}/${deluge1.riser}`);
  await page.locator('.crew-list li').first().waitFor();
});

afterEach(async () => {
  await page.context().close();
  await desk.close();
});

const confirmed = (step: string) => station.view(deluge1)?.restoration.find((each) => each.step === step)?.confirmedBy;

describe('the page for the crew', () => {
  it('says what is next, what is awaited and how late, and what to beware of', async () => {
    expect(await page.locator('h1').textContent()).toBe('Next: Supply valve shut');
    expect(await page.locator('.crew-awaited').textContent()).toMatch(
      /^We wait for: Waterflow switch, for “supply valve shut”\. Nothing has arrived yet\. Due by 08:\d\d:\d\d, 1 min \d+ s late$/,
    );
    expect(await page.locator('main > .caution').textContent()).toMatch(/^Water may be flowing\./);
    expect(await page.locator('.crew-list li').count()).toBe(station.view(deluge1)?.restoration.length);
    expect(watched.complaints).toEqual([]);
  });

  it('confirms with one press and a second to be sure, and not with one alone', async () => {
    await page.getByRole('button', { name: 'I saw it: low points drained' }).tap();
    await page.getByRole('button', { name: 'No, not yet' }).tap();
    expect(confirmed('low-points-drained')).toBeUndefined();

    await page.getByRole('button', { name: 'I saw it: low points drained' }).tap();
    await picture(page, 'crew-confirm');
    await page.getByRole('button', { name: 'Yes, record it: low points drained' }).tap();
    await page.getByText('confirmed by m.berg').waitFor();
    expect(confirmed('low-points-drained')).toBe('m.berg');
  });

  it('follows live what the panel reports', async () => {
    await contact(station, deluge1, ['07:18:00', 'waterflow', 'restored']);

    await expect.poll(() => page.locator('h1').textContent()).toBe('Next: Low points drained');
    await page.locator('.crew-list li.proven', { hasText: 'Water stopped' }).waitFor();
  });

  it('is black on white in the dark too, large enough for a glove, and breaks no rule a program can test', async () => {
    await picture(page, 'crew-phone', true);
    const looks = await page.locator('.page.crew').evaluate((each) => {
      const { color, backgroundColor } = getComputedStyle(each);
      return [color, backgroundColor];
    });
    expect(looks).toEqual(['rgb(0, 0, 0)', 'rgb(255, 255, 255)']);
    const buttons = await page.locator('main button').all();
    const heights = await Promise.all(buttons.map(async (each) => (await each.boundingBox())?.height ?? 0));
    expect(heights.length).toBeGreaterThan(0);
    expect(Math.min(...heights)).toBeGreaterThanOrEqual(48);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(0);

    await page.evaluate(await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8'));
    const { violations } = await page.evaluate<AxeResults>('axe.run({ resultTypes: ["violations"] })');
    expect(violations.map(({ id, nodes }) => [id, nodes.map(({ target }) => target.join())])).toEqual([]);
  });

  it('says when it is cut, and lets nothing be recorded then', async () => {
    await page.getByRole('button', { name: 'I saw it: low points drained' }).tap();
    await desk.close();
    await page.locator('.band.lost').waitFor({ timeout: 10_000 });

    expect(await page.getByRole('button', { name: 'Yes, record it: low points drained' }).isDisabled()).toBe(true);
    await picture(page, 'crew-lost');
    desk = await deskOver(station);
  });
});
