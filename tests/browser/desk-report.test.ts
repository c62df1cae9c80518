import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { OpenDesk } from '@tidemark/desk';
import type { AxeResults } from 'axe-core';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { WatchedPage } from './fixtures/browser.ts';
import { deskOver, launchBrowser, openPage, picture, screens } from './fixtures/browser.ts';
import type { MemoryStation } from './fixtures/memory-station.ts';
import { deluge1, flowingStation } from './fixtures/quayside-story.ts';

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
  await station.record(deluge1, {
    type: 'command-given',
    id: 'noted',
    receivedAt: station.now(),
    by: 'a.lund',
    command: { command: 'note', text: 'Crew at the gate' },
  });
  desk = await deskOver(station);
  watched = await openPage(browser, { ...screens.wide, colorScheme: 'dark' });
  page = watched.page;
  await page.goto(`${desk.url}/report/${deluge1.account}/${deluge1.riser}`);
  await page.locator('.report-events tbody tr').first().waitFor();
});

afterEach(async () => {
  expect(watched.complaints).toEqual([]);
  await page.context().close();
  await desk.close();
});

describe('the report of an incident', () => {
  it('holds the story, both clocks, the findings, who did what and what is open', async () => {
    const text = await page.locator('.report').textContent();

    expect(await page.locator('h1').textContent()).toBe('deluge-1, Quayside cold store: report of 2 Mar 2026');
    expect(text).toMatch(
      /1 finding on record, of which 1 still stand\. 1\d steps back to service still open\. 1 action recorded by people\./,
    );
    expect(text).toMatch(/Evidence: Waterflow 07:57:08; Supply valve 08:04:13\. No acknowledgement is on record\./);
    expect(await page.locator('.deeds li').allTextContents()).toEqual([
      expect.stringMatching(/a\.lund noted: Crew at the gate$/),
    ]);
    expect(await page.locator('.report-events tbody tr').allTextContents()).toContain(
      '07:57:08.3002 Mar 2026, 07:57:08.700Waterflow switch: active',
    );
    expect(await page.locator('.timeline svg .mark').count()).toBeGreaterThan(5);
  });

  it('prints black on white without the page around it, and as a PDF of the browser', async () => {
    await picture(page, 'report-screen', true);
    await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
    await picture(page, 'report-print', true);

    expect(await page.locator('.header').isVisible()).toBe(false);
    expect(await page.locator('.report-tools').isVisible()).toBe(false);
    expect(await page.locator('.page').evaluate((each) => getComputedStyle(each).backgroundColor)).toBe(
      'rgb(255, 255, 255)',
    );
    const pdf = await page.pdf({ format: 'A4' });
    expect(pdf.subarray(0, 5).toString()).toBe('%PDF-');
  });

  it('breaks no rule of accessibility that a program can test', async () => {
    await page.evaluate(await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8'));
    const { violations } = await page.evaluate<AxeResults>('axe.run({ resultTypes: ["violations"] })');

    expect(violations.map(({ id, nodes }) => [id, nodes.map(({ target }) => target.join())])).toEqual([]);
  });

  it('has the whole record beside it as files', async () => {
    await page.goto(`${desk.url}/events/${deluge1.account}/${deluge1.riser}`);
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('link', { name: 'Everything as a table (CSV)' }).click(),
    ]);

    expect(download.suggestedFilename()).toBe('quayside-cold-store-deluge-1.csv');
  });
});
