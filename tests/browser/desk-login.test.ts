import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { setPasswordPath } from '@tidemark/api';
import type { OpenDesk } from '@tidemark/desk';
import { ensurePage, loopback, openAccess, openDesk } from '@tidemark/desk';
import type { AxeResults } from 'axe-core';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { WatchedPage } from './fixtures/browser.ts';
import { deskOver, launchBrowser, openPage, picture, screens } from './fixtures/browser.ts';
import { sessionOf } from './fixtures/logged-in.ts';
import type { MemoryStation } from './fixtures/memory-station.ts';
import { deluge1, flowingStation } from './fixtures/quayside-story.ts';

let browser: Browser;
let axe: string;
let station: MemoryStation;
let desk: OpenDesk;
let watched: WatchedPage;
let page: Page;

const password = 'four gulls over the quay';

beforeAll(async () => {
  browser = await launchBrowser();
  axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
});

afterAll(() => browser.close());

beforeEach(async () => {
  station = await flowingStation();
  desk = await deskOver(station);
  watched = await openPage(browser, screens.wide);
  page = watched.page;
  await page.context().clearCookies();
});

afterEach(async () => {
  await page.context().close();
  await desk.close();
});

const administrator = { name: 'm.berg', accounts: 'all' } as const;

async function linkFor(name: string): Promise<string> {
  const grants = [{ role: 'operator' as const, accounts: [deluge1.account] }];
  const invited = await (await station.access()).people.invite(administrator, name, grants);
  if (!invited.ok) throw new Error(invited.failure);
  return invited.value.path;
}

async function admitWithPassword(name: string): Promise<void> {
  const secret = (await linkFor(name)).split('#')[1] ?? '';
  await (await station.access()).frontDesk.redeem(secret, password);
}

async function violations(): Promise<readonly string[]> {
  await page.evaluate(axe);
  const results = await page.evaluate<AxeResults>('axe.run({ resultTypes: ["violations"] })');
  return results.violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ target }) => target.join(' ')).join()}`);
}

const riserPath = `/risers/${deluge1.account}/${deluge1.riser}`;
const opened = (): Promise<void> => page.locator('.timeline svg .mark').first().waitFor();

/** What a browser says of an answer that is an error; it is meant here, and nothing else may be complained of. */
const besides = (status: number): readonly string[] =>
  watched.complaints.filter((each) => !each.includes(`status of ${status}`));

describe('whoever is not logged in', () => {
  it('sees the log-in and nothing else, comes in by keyboard alone, lands where the link led, and leaves by keyboard', async () => {
    await admitWithPassword('t.lund');
    await page.goto(`${desk.url}${riserPath}`);
    await page.getByRole('heading', { name: 'Log in to Tidemark' }).waitFor();
    expect(await page.locator('.header, .queue, .demo-banner').count()).toBe(0);
    await picture(page, 'log-in');
    expect(await violations()).toEqual([]);

    await page.keyboard.type('t.lund');
    await page.keyboard.press('Tab');
    await page.keyboard.type(password);
    await page.keyboard.press('Enter');
    await opened();
    expect(new URL(page.url()).pathname).toBe(riserPath);
    expect(await page.locator('.who').textContent()).toContain('t.lund');

    await page.getByRole('button', { name: 'Log out' }).focus();
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'Log in to Tidemark' }).waitFor();
    expect(await page.context().cookies()).toEqual([]);
    expect(besides(401)).toEqual([]);
  });

  it('is told that name or password is wrong, and how long to wait after too many tries', async () => {
    await admitWithPassword('t.lund');
    await page.goto(desk.url);
    const tryIt = async (): Promise<string> => {
      await page.getByLabel('Name').fill('t.lund');
      await page.getByLabel('Password').fill('not the password');
      const answered = page.waitForResponse(/api\/session$/);
      await page.getByRole('button', { name: 'Log in' }).click();
      await answered;
      return (await page.getByRole('alert').textContent()) ?? '';
    };

    expect(await tryIt()).toBe('Not done. The name or the password is wrong.');
    for (let guess = 0; guess < 3; guess += 1) await tryIt();
    await expect.poll(tryIt).toBe('Not done. Too many attempts; try again later. Try again in 1 s.');
  });
});

describe('a session that ends', () => {
  it('leaves the log-in on the page, says so, and keeps the address', async () => {
    await admitWithPassword('t.lund');
    const { cookie } = await sessionOf(station, desk, 't.lund');
    await page.context().addCookies([{ ...cookie, url: desk.url, httpOnly: true, sameSite: 'Strict' }]);
    await page.goto(`${desk.url}${riserPath}`);
    await opened();

    (await station.access()).frontDesk.sessions.endAllOf('t.lund');
    await page.getByText('Your session has ended.').waitFor({ timeout: 15_000 });

    expect(new URL(page.url()).pathname).toBe(riserPath);
    expect(await page.locator('.queue, .timeline').count()).toBe(0);
  });
});

describe('a one-time link', () => {
  it('sets a password by keyboard, leaves no secret in the address, and leads to the log-in', async () => {
    const path = await linkFor('t.lund');
    await page.goto(`${desk.url}${path}`);
    await page.getByRole('heading', { name: 'Choose a password' }).waitFor();
    await picture(page, 'set-password');
    expect(await violations()).toEqual([]);
    expect(new URL(page.url()).hash).toBe('');

    await page.keyboard.type(password);
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'The password is set' }).waitFor();
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'Log in to Tidemark' }).waitFor();
    expect(
      watched.asked.filter((url) => url.includes(path.split('#')[1] ?? '-') && !url.includes(setPasswordPath)),
    ).toEqual([]);

    await page.goto(`${desk.url}${path}`);
    await page.getByLabel('New password').fill(password);
    await page.getByRole('button', { name: 'Set the password' }).click();
    await page.getByText('This link was used, has run out, or was never made').waitFor();
  });
});

describe('what somebody may not do', () => {
  it('is not offered: an integrator is given no acknowledgement, and no people', async () => {
    await station.admit('t.lund', [{ role: 'integrator', accounts: 'all' }]);
    const { cookie } = await sessionOf(station, desk, 't.lund');
    await page.context().addCookies([{ ...cookie, url: desk.url, httpOnly: true, sameSite: 'Strict' }]);
    await page.goto(`${desk.url}${riserPath}`);
    await opened();

    expect(await page.getByRole('button', { name: 'Declare' }).count()).toBe(1);
    expect(await page.getByRole('button', { name: 'Acknowledge' }).count()).toBe(0);
    expect(await page.getByRole('link', { name: 'People' }).count()).toBe(0);
  });
});

describe('the people', () => {
  it('are listed, added with a link that is shown once, given other roles, shut out and let in', async () => {
    const { cookie } = await sessionOf(station, desk, 'm.berg');
    await page.context().addCookies([{ ...cookie, url: desk.url, httpOnly: true, sameSite: 'Strict' }]);
    await page.goto(`${desk.url}/people`);
    await page.getByLabel('Name').fill('t.lund');
    await page.getByLabel('operator at').fill('all');
    await page.getByRole('button', { name: 'Add, and make the link' }).click();
    expect(await page.locator('.link-out code').textContent()).toMatch(/\/set-password#[\w-]{43}$/);
    const person = page.locator('.people li', { hasText: 't.lund' });
    await person.getByText('operator: all sites').waitFor();

    await person.getByRole('button', { name: 'Roles of t.lund' }).click();
    await person.getByLabel('operator at').fill('');
    await person.getByLabel('integrator at').fill(deluge1.account);
    await person.getByRole('button', { name: 'Give these roles' }).click();
    await person.getByText(`integrator: ${deluge1.account}`).waitFor();
    await person.getByRole('button', { name: 'Shut out t.lund' }).click();
    await person.getByText('shut out;').waitFor();
    await picture(page, 'people');
    expect(await violations()).toEqual([]);
    await person.getByRole('button', { name: 'Let in again t.lund' }).click();
    await person.getByText('no password yet').waitFor();
    expect(watched.complaints).toEqual([]);

    await page.goto(`${desk.url}/me`);
    await page.getByRole('heading', { name: 'm.berg' }).waitFor();
    await picture(page, 'me');
    expect(await violations()).toEqual([]);
  });
});

describe('the demo', () => {
  it('says on every screen that it is one, and lets its users in by a button', async () => {
    const access = await openAccess({
      journal: station.journal,
      clock: () => station.now(),
      demoAccounts: [deluge1.account],
    });
    const page_folder = await ensurePage();
    const demo = await openDesk(
      { ...(await station.ports()), access },
      { ...loopback, port: 0, page_folder, logger: ['error'] },
    );
    await page.goto(demo.url);
    await page.getByRole('complementary', { name: 'Demo' }).waitFor();
    await picture(page, 'demo-log-in');
    expect(await violations()).toEqual([]);
    await page.getByRole('button', { name: 'Log in as administrator' }).click();

    for (const [path, ready] of [
      ['/', '.queue-item'],
      [riserPath, '.timeline svg .mark'],
      [`/events/${deluge1.account}/${deluge1.riser}`, 'tbody tr'],
      ['/quarantine', '.quarantine li'],
      ['/people', '.people li'],
      ['/me', '.grants'],
    ] as const) {
      await page.locator('.who').waitFor();
      await page.goto(`${demo.url}${path}`);
      await page.locator(ready).first().waitFor();
      expect([path, await page.getByRole('complementary', { name: 'Demo' }).textContent()]).toEqual([
        path,
        'Demo: invented site, simulated signals',
      ]);
    }
    await picture(page, 'demo-me');
    await demo.close();
  });
});
