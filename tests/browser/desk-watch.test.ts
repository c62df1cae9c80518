import type { OpenDesk } from '@tidemark/desk';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { WatchedPage } from './fixtures/browser.ts';
import { deskOver, launchBrowser, openPage, picture, screens } from './fixtures/browser.ts';
import { comeIn } from './fixtures/logged-in.ts';
import type { MemoryStation } from './fixtures/memory-station.ts';
import { StallingWire } from './fixtures/stalling-wire.ts';
import { act, contact, deluge1, flowingStation, quietStation } from './fixtures/quayside-story.ts';

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
  await page.context().close();
  await desk.close();
});

const opened = (): Promise<void> => page.locator('.timeline svg .mark').first().waitFor();
const acknowledge = () => page.locator('.actions').getByRole('button', { name: /^Acknowledge/ });
const url = (more = ''): string => `${desk.url}/risers/${deluge1.account}/${deluge1.riser}${more}`;

describe('the watch', () => {
  it('opens what is most urgent, with its sentence, how late it is, and the zone of the site', async () => {
    await page.goto(desk.url);
    await opened();

    expect(new URL(page.url()).pathname).toBe('/risers/quayside-cold-store/deluge-1');
    expect(await page.locator('h1').textContent()).toMatch(/^Water is still reported.* by 08:16:00\.$/);
    expect(await page.locator('.lead .urgency').textContent()).toMatch(/^act now, 1 min (3[789]|40) s late$/);
    expect(await page.locator('.item-title').allTextContents()).toEqual([
      'deluge-1, Quayside cold store',
      'deluge-4, Mill 2 transformer yard',
    ]);
    expect(await page.locator('.clock').textContent()).toMatch(/^08:17:(39|4[01]) Oslo07:17:(39|4[01]) UTC$/);
  });

  it('shows a finding with its explanation, evidence, causes that add up to one, caution and check', async () => {
    await page.goto(url());
    await opened();

    expect(await page.locator('.findings h3').allTextContents()).toEqual(['flow with supply closed']);
    expect(await page.locator('.evidence li').allTextContents()).toEqual([
      'Waterflow 07:57:08',
      'Supply valve 08:04:13',
      expect.stringMatching(/^window .* panel’s clock$/),
    ]);
    const figures = (await page.locator('.causes .figure').allTextContents()).map(Number);
    expect(figures.length).toBeGreaterThan(1);
    expect(figures.reduce((sum, figure) => sum + figure, 0)).toBeCloseTo(1, 1);
    expect(await page.locator('.causes li').last().locator('.cause-words').textContent()).toBe('Something else');
    expect(await page.locator('.actions .caution').textContent()).toMatch(/Do not have the panel reset from here/);
    expect(await page.locator('.one-check').textContent()).toMatch(/^One check tells most\. \S/);
  });

  it('ties the evidence together in the drawing: a ring for each cited mark, and a band for the window', async () => {
    await page.goto(url());
    await opened();

    expect(await page.locator('.tie.critical circle').count()).toBe(2);
    expect(await page.locator('.window text').allTextContents()).toEqual(['should stop here']);
    expect(await page.locator('.fold').count()).toBeGreaterThan(0);
  });

  it('draws what nobody can see as unseen, and says it in words', async () => {
    await page.goto(url());
    await opened();

    expect(await page.locator('.lead, .queue-item.open').locator('svg.waterline').getAttribute('aria-label')).toBe(
      'Supply: cannot be seen. Seat: open. Outlet: water. Piping: cannot be seen.',
    );
    expect(await page.locator('.positions tr', { hasText: 'Drains' }).textContent()).toMatch(/unknown.*none/);
    expect(await page.locator('.fleet li', { hasText: 'silo-2' }).locator('svg').getAttribute('aria-label')).toBe(
      'Supply: cannot be seen. Seat: cannot be seen. Outlet: cannot be seen. Piping: cannot be seen.',
    );
  });

  it('acknowledges as whoever is logged in, and shows who did', async () => {
    await page.goto(url());
    await opened();
    await acknowledge().click();
    await page.locator('.findings', { hasText: 'Acknowledged by m.berg' }).waitFor();

    expect(await acknowledge().count()).toBe(0);
    expect(station.view(deluge1)?.findings.map(({ alertState }) => alertState)).toEqual(['acknowledged']);
    expect(await page.locator('.queue-item.open').textContent()).not.toContain('Not acknowledged');
  });

  it('records what somebody on site saw only after it was named', async () => {
    await page.goto(url());
    await page.getByRole('button', { name: 'Somebody saw it: Low points drained' }).click();
    await page.getByText('Record that somebody on site saw: low points drained?').waitFor();
    await page.getByRole('button', { name: 'Record it' }).click();
    await page.getByText('Confirmed by m.berg').waitFor();

    expect(station.view(deluge1)?.restoration.find(({ step }) => step === 'low-points-drained')).toMatchObject({
      status: 'proven',
      confirmedBy: 'm.berg',
    });
  });

  it('follows what happens without being asked', async () => {
    await page.goto(url());
    await opened();
    await contact(station, deluge1, ['07:18:00', 'waterflow', 'restored']);

    await page.locator('.points tr', { hasText: 'Waterflow switch' }).locator('.state.restored').waitFor();
    await page.locator('.mark.restored').waitFor();
  });

  it('keeps an item under the pointer where it is when another becomes more urgent', async () => {
    await page.goto(desk.url);
    await opened();
    const order = () => page.locator('.item-title').allTextContents();
    const before = await order();
    await page.locator('.queue-item').nth(1).hover();
    await contact(station, { account: 'quayside-cold-store', riser: 'yard-1' }, ['07:18:00', 'manual-pull', 'active']);
    await page.locator('.queue-item', { hasText: 'yard-1' }).waitFor();
    expect(await order()).toEqual([...before, 'yard-1, Quayside cold store']);

    await page.locator('h1').hover();
    await expect.poll(order, { timeout: 5_000 }).toEqual([before[0], 'yard-1, Quayside cold store', before[1]]);
  });

  it('opens the riser as it was, with nothing of what came later and nothing to press', async () => {
    await page.goto(url('?asOf=2026-03-02T06:57:07.900Z'));
    await page.locator('.band.past').waitFor();
    await opened();

    expect(await page.locator('.lead h1').textContent()).toMatch(/no water is reported yet/);
    expect(await page.locator('.timeline .now').textContent()).toBe('then');
    expect(await page.locator('.points').textContent()).not.toContain('08:04:13');
    expect(
      await page
        .locator('.pane')
        .getByRole('button', { name: /Acknowledge|Record|Note|Declare|Somebody|Shelve/ })
        .count(),
    ).toBe(0);
    await page.getByRole('button', { name: 'Back to now' }).click();
    await acknowledge().waitFor();
  });

  it('asks nothing of anybody but the station, and the browser has nothing to complain of', async () => {
    await page.goto(desk.url);
    await opened();
    await page.getByRole('link', { name: 'Quarantine' }).click();
    await page.locator('.quarantine li').waitFor();
    await page.goto(`${desk.url}/events/${deluge1.account}/${deluge1.riser}`);
    await page.locator('tbody tr').first().waitFor();

    expect(watched.complaints).toEqual([]);
    expect(watched.asked.filter((each) => !each.startsWith(`${desk.url}/`))).toEqual([]);
    expect(watched.asked.length).toBeGreaterThan(5);
  });

  it('shows a hostile payload as letters', async () => {
    await page.goto(`${desk.url}/quarantine`);
    await page.locator('.quarantine pre').waitFor();

    expect(await page.locator('.quarantine pre').textContent()).toBe(
      '{"signal":"<img src=x onerror=alert(1)>","\\u202egnp":"\\u0007"}',
    );
    expect(await page.locator('.quarantine img').count()).toBe(0);
  });
});

describe('a page whose station is quiet', () => {
  it('says so, shows the fleet, and opens nothing', async () => {
    const quiet = await deskOver(await quietStation());
    await comeIn(page.context());
    await page.goto(quiet.url);
    await page.locator('.fleet.large li').first().waitFor();

    expect(await page.locator('.quiet .title').textContent()).toBe('Nothing needs a person. 5 risers are quiet.');
    expect(new URL(page.url()).pathname).toBe('/');
    await picture(page, 'quiet');
    await quiet.close();
  });
});

describe('a page whose connection is cut', () => {
  it('says so within two seconds, hatches everything, lets nothing be recorded, and tells what was missed', async () => {
    await page.goto(url());
    await opened();
    const { port } = new URL(desk.url);
    await desk.close();
    await page.locator('.band.lost').waitFor({ timeout: 10_000 });
    const said = await page.locator('.band.lost').textContent();
    const shown = await page.locator('.lead .urgency').textContent();
    await picture(page, 'lost');

    expect(await page.locator('.timeline .now').textContent()).toBe('last heard');
    expect(said).toMatch(/^Connection lost\. Everything below is 2 s old/);
    expect(await acknowledge().isDisabled()).toBe(true);
    const hatched = (selector: string) =>
      page
        .locator(selector)
        .first()
        .evaluate((each) => getComputedStyle(each).backgroundImage);
    for (const selector of ['.queue-item', '.timeline', '.columns', '.fleet', '.lead > div'])
      expect([selector, await hatched(selector)]).toEqual([
        selector,
        expect.stringContaining('repeating-linear-gradient'),
      ]);

    await act(station, deluge1, '07:19:00', 'silence');
    desk = await deskOver(station, Number(port));
    await page.locator('.band.back').waitFor({ timeout: 15_000 });
    expect(await page.locator('.band.back').textContent()).toMatch(/^Connected again after .*(changes?|not known)/);
    await page.locator('.lane', { hasText: 'Panel' }).locator('.mark.performed').nth(1).waitFor();
    expect(shown).toMatch(/late$/);
  });

  it('notices a wire that carries nothing any more, though nobody closed it', async () => {
    const wire = await StallingWire.to(desk.url);
    await page.goto(`${wire.url}${new URL(url()).pathname}`);
    await opened();
    wire.stall();
    await page.locator('.band.lost').waitFor({ timeout: 10_000 });

    wire.flow();
    await page.locator('.band.back').waitFor({ timeout: 15_000 });
    await page.context().close();
    await wire.close();
  });
});
