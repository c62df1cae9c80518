import * as api from '@tidemark/api';
import type { OpenDesk } from '@tidemark/desk';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { WatchedPage } from './fixtures/browser.ts';
import { deskOver, launchBrowser, openPage, screens } from './fixtures/browser.ts';
import { send } from './fixtures/desk-client.ts';
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
  desk = await deskOver(station);
  watched = await openPage(browser, screens.wide);
  page = watched.page;
});

afterEach(async () => {
  expect(watched.complaints).toEqual([]);
  await page.context().close();
  await desk.close();
});

const open = async (more = ''): Promise<void> => {
  await page.goto(`${desk.url}/diagnose/${deluge1.account}/${deluge1.riser}${more}`);
  await page.locator('.time-travel input').waitFor();
};

const diagnosis = async (more = ''): Promise<api.Diagnosis> =>
  api.diagnosis.parse((await send(`${desk.url}${api.pathTo(api.routes.getDiagnosis, deluge1)}${more}`)).body);

const figures = async () => (await page.locator('.argued .figure').allTextContents()).map(Number);

/** The first outcome that ranks the causes otherwise, tried on the same story told to another station. */
async function telling(check: string, outcomes: readonly { readonly found: string }[]): Promise<string> {
  for (const { found } of outcomes) {
    const other = await flowingStation();
    const before = other.view(deluge1)?.findings[0]?.causes;
    const command = { command: 'check-answered', check, found } as const;
    await other.record(deluge1, { type: 'command-given', id: 'tried', receivedAt: other.now(), by: 'm.berg', command });
    if (JSON.stringify(other.view(deluge1)?.findings[0]?.causes) !== JSON.stringify(before)) return found;
  }
  throw new Error(`no outcome of ${check} tells anything`);
}

/** The water had been reported for seconds, and the supply valve had not moved yet. */
const midway = '2026-03-02T06:57:08.700Z';

describe('the reasons for a ranking', () => {
  it('stand beside each cause, each sentence with the events that the route cites for it', async () => {
    await open();
    await page.locator('.reasoned .settle').waitFor();
    const { findings } = await diagnosis();
    const groups = findings.flatMap((finding) => finding.groups);

    expect(await page.locator('.reasoned h2').allTextContents()).toEqual(['flow with supply closed, act now']);
    expect(await figures()).toEqual(groups.map(({ probability }) => Number(probability.toFixed(2))));
    const told = groups.flatMap((group) => [...group.for, ...group.against]);
    expect(told.length).toBeGreaterThan(0);
    const sentences = await page.locator('.arguments li').allTextContents();
    expect(sentences).toHaveLength(told.length);
    told.forEach(({ says }, index) => expect(sentences[index]?.startsWith(says)).toBe(true));
    expect(await page.locator('.cited:not(.none)').count()).toBe(told.flatMap(({ evidence }) => evidence).length);
  });

  it('change at once with the answer to the check, which has its author', async () => {
    await open();
    await page.locator('.reasoned .settle').waitFor();
    const before = (await diagnosis()).findings[0]?.groups ?? [];
    const { checkId, outcomes } = before.find((group) => group.outcomes.length > 0)!;
    const found = await telling(checkId, outcomes);
    await page.getByRole('button', { name: `Found: ${found}`, exact: true }).press('Enter');
    await expect
      .poll(() => station.view(deluge1)?.actions.at(-1))
      .toMatchObject({
        by: 'm.berg',
        command: { command: 'check-answered', check: checkId, found },
      });
    const after = (await diagnosis()).findings[0]?.groups ?? [];

    expect(after).not.toEqual(before);
    await expect.poll(figures).toEqual(after.map(({ probability }) => Number(probability.toFixed(2))));
  });
});

describe('time travel', () => {
  it('moves over the whole record by keys, shows that moment and nothing later, and comes back', async () => {
    await open();
    const slider = page.getByRole('slider');
    const { record } = await diagnosis();
    expect(await slider.getAttribute('max')).toBe(String(record.moments.length));
    expect(await slider.getAttribute('aria-valuetext')).toBe('now');
    await slider.press('Home');
    await page.getByText('No finding stands at this moment.').waitFor();
    expect(new URL(page.url()).searchParams.get('asOf')).toBe(record.moments[0]);
    expect(await page.getByRole('button', { name: 'One event back' }).isDisabled()).toBe(true);
    expect(await page.locator('.headline').textContent()).toMatch(/Nothing has been heard|never been heard/);

    await page.getByRole('button', { name: 'One event on' }).click();
    await expect.poll(() => new URL(page.url()).searchParams.get('asOf')).toBe(record.moments[1]);
    await page.getByRole('button', { name: 'Now', exact: true }).click();
    await page.locator('.reasoned .settle').waitFor();
    expect(new URL(page.url()).search).toBe('');
  });

  it('gives the same reasoning whenever a moment is asked for', async () => {
    const asOf = '?asOf=2026-03-02T07:16:30.000Z';
    const first = await diagnosis(asOf);
    await send(`${desk.url}/api/health`);
    expect(first.findings.length).toBeGreaterThan(0);

    expect((await diagnosis(asOf)).findings).toEqual(first.findings);
    expect((await diagnosis(`?asOf=${midway}`)).findings).toEqual([]);
  });

  it('lets nothing be answered in the past', async () => {
    await open('?asOf=2026-03-02T07:16:30.000Z');
    await page.locator('.reasoned .settle').waitFor();

    expect(await page.locator('.outcomes li').count()).toBeGreaterThan(0);
    expect(await page.locator('.settle button').count()).toBe(0);
  });

  it('compares two moments: what differs, the earlier one first', async () => {
    await open(`?asOf=${midway}`);
    await page.getByRole('button', { name: 'Compare with now' }).click();
    await page.locator('.compared tbody tr').first().waitFor();
    const rows = (await page.locator('.compared tbody tr').allTextContents()).join('\n');

    expect(await page.locator('.compared thead th').nth(1).textContent()).toMatch(/07:57:08$/);
    expect(rows).toMatch(/^Phase.*water flowing.*shutting down$/m);
    expect(rows).toMatch(/^Point 4 Supply valve.*active$/m);
    expect(rows).toMatch(/^Supply valve, inferred.*not fully open/m);
    expect(rows).toMatch(/^Finding: flow with supply closed.*none.*stands$/m);
    expect(rows).not.toMatch(/Point 3 Waterflow/);
    await page.getByRole('button', { name: 'End the comparison' }).click();
    await page.locator('.compared').waitFor({ state: 'detached' });
  });
});
