import type { OpenDesk } from '@tidemark/desk';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { WatchedPage } from './fixtures/browser.ts';
import { deskOver, launchBrowser, openPage, picture, screens } from './fixtures/browser.ts';
import type { MemoryStation } from './fixtures/memory-station.ts';
import { at, contact, deluge1, flowingStation, timeReached } from './fixtures/quayside-story.ts';

const deluge4 = { account: deluge1.account, riser: 'deluge-4' };
const yard2 = { account: deluge1.account, riser: 'yard-2' };

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

const open = async (key = deluge1, more = ''): Promise<void> => {
  await page.goto(`${desk.url}/risers/${key.account}/${key.riser}${more}`);
  await page.locator('.actions .buttons').first().waitFor();
};
const alerts = (key = deluge1) => station.view(key)?.alerts ?? [];
const deeds = (key = deluge1) => station.view(key)?.actions.map(({ by, command }) => ({ by, ...command })) ?? [];
const stateOf = (duty: string, key = deluge1) => [
  ...new Set(alerts(key).flatMap(({ duties }) => duties.flatMap((each) => (each.duty === duty ? [each.state] : [])))),
];
const owed = () => page.locator('.owed li .step-title').allTextContents();

describe('what is owed', () => {
  it('stands with the next due first, how late it is, and how far it has escalated, in words', async () => {
    await open();

    expect(await owed()).toEqual([
      'Acknowledge it',
      'Retransmit it to the fire service',
      'Notify the subscriber',
      'Call a designated person',
      'Have somebody on site',
    ]);
    expect(await page.locator('.owed h2').textContent()).toBe('Owed, 5, 4 late');
    expect(await page.locator('.owed .due').allTextContents()).toEqual([
      expect.stringMatching(/^19 min \d+ s late$/),
      expect.stringMatching(/^19 min \d+ s late$/),
      expect.stringMatching(/^15 min \d+ s late$/),
      expect.stringMatching(/^8 min \d+ s late$/),
      expect.stringMatching(/^in 1 h 39 min/),
    ]);
    expect(await page.locator('.owed .escalated').textContent()).toBe(
      'Escalated to the service manager, step 2. Nobody did in time what was owed.',
    );
  });

  it('is told in the queue, with what fits to be done and no more', async () => {
    await open();
    const item = page.locator('.queue-item', { hasText: 'deluge-4' });

    expect(await page.locator('.queue-item.open').textContent()).toContain(
      'Not acknowledged: Pull station, loading dock; Release solenoid; Waterflow switch; Supply valve; flow with supply closed',
    );
    expect(await item.locator('.next-duty').textContent()).toMatch(/^Acknowledge it \d+ min \d+ s late/);
    await item.getByRole('button', { name: /^Acknowledge( \d+)? on deluge-4$/ }).click();
    await expect.poll(() => alerts(deluge4).some(({ awaitsAnswer }) => awaitsAnswer)).toBe(false);
    await item.locator('.next-duty', { hasText: 'Call a designated person' }).waitFor();
    await item.getByRole('link', { name: 'Record a call for deluge-4' }).click();
    await page.getByRole('form', { name: 'A call' }).waitFor();

    expect(new URL(page.url()).pathname + new URL(page.url()).search).toBe(
      `/risers/${deluge4.account}/deluge-4?form=call&about=designated-person`,
    );
    expect(await page.getByRole('combobox', { name: 'To', exact: true }).inputValue()).toBe('designated-person');
  });
});

describe('an action', () => {
  it('acknowledges exactly what the page names', async () => {
    await open();
    expect(await page.locator('.what-happens').textContent()).toBe(
      'Acknowledging records that you have seen: Pull station, loading dock; Release solenoid; Waterflow switch; ' +
        'Supply valve; flow with supply closed. It mends nothing.',
    );
    await page.getByRole('button', { name: 'Acknowledge all 5' }).click();
    await page.locator('.what-happens').waitFor({ state: 'detached' });

    expect(alerts().filter(({ awaitsAnswer }) => awaitsAnswer)).toEqual([]);
    expect(deeds().map(({ by, command }) => [by, command])).toEqual(Array(5).fill(['m.berg', 'acknowledge']));
  });

  it('records a call for every alert that waits for it, and one that reached nobody for none', async () => {
    await open(deluge1, '?form=call&about=subscriber');
    await page.getByLabel('Outcome').selectOption('not-reached');
    await page.getByRole('button', { name: 'Record the call' }).click();
    await page.locator('.deeds li', { hasText: 'm.berg called the subscriber and reached nobody' }).waitFor();
    expect(stateOf('notify-subscriber')).toEqual(['overdue']);

    await page.locator('.owed').getByRole('link', { name: 'Record a call (Notify the subscriber)' }).click();
    await page.getByLabel('Person, if known').fill('Night porter');
    await page.getByRole('button', { name: 'Record the call' }).click();
    await page.locator('.deeds li', { hasText: 'm.berg reached the subscriber, Night porter' }).waitFor();

    expect(stateOf('notify-subscriber')).toEqual(['fulfilled']);
    expect(await owed()).not.toContain('Notify the subscriber');
    expect(await page.getByRole('form', { name: 'A call' }).count()).toBe(0);
  });

  it('records who was sent and who arrived', async () => {
    await open();
    await page.getByRole('button', { name: 'Record a dispatch' }).click();
    await page.getByLabel('Reference, if any').fill('R-17');
    await page.getByRole('button', { name: 'Record the dispatch' }).click();
    await page.locator('.deeds li', { hasText: 'm.berg recorded that the runner was sent' }).waitFor();
    expect(stateOf('attend-on-site')).toEqual(['open']);

    await page.getByRole('button', { name: 'Record a dispatch' }).click();
    await page.getByLabel('How far').selectOption('arrived');
    await page.getByRole('button', { name: 'Record the dispatch' }).click();
    await page.locator('.deeds li', { hasText: 'the runner was on site' }).waitFor();

    expect(stateOf('attend-on-site')).toEqual(['fulfilled']);
    expect(deeds()[0]).toEqual({
      by: 'm.berg',
      command: 'dispatch-recorded',
      unit: 'runner',
      stage: 'sent',
      reference: 'R-17',
    });
  });

  it('puts on test, takes off, and declares an emergency, each by keys alone', async () => {
    await open(deluge4);
    await page.keyboard.press('t');
    await page.getByRole('form', { name: 'Put on test' }).waitFor();
    await page.keyboard.press('Tab');
    await page.keyboard.press('ControlOrMeta+a');
    await page.keyboard.type('45');
    await page.keyboard.press('Enter');
    await page.getByRole('button', { name: 'End the test' }).waitFor();
    expect(deeds(deluge4)).toEqual([{ by: 'm.berg', command: 'test-begin', forSeconds: 2_700, expect: ['waterflow'] }]);
    await page.getByRole('button', { name: 'End the test' }).press('Enter');
    await page.getByRole('button', { name: 'End the test' }).waitFor({ state: 'detached' });

    await page.locator('h1').click();
    await page.keyboard.press('t');
    await page.getByRole('combobox', { name: 'What' }).selectOption('impairment');
    await page.getByLabel('Kind').selectOption('emergency');
    await page.getByLabel('Reason').fill('Release circuit cut');
    await page.keyboard.press('Enter');
    await page.getByText('emergency impairment: Release circuit cut', { exact: true }).waitFor();

    expect(station.view(deluge4)?.impairment).toMatchObject({ kind: 'emergency', reason: 'Release circuit cut' });
  });

  it('notes, and keeps what was typed when the station refuses it', async () => {
    await open();
    await page.keyboard.press('n');
    await page.getByLabel('Note', { exact: true }).fill('Crew at the gate');
    await page.route('**/commands', (route) => route.abort());
    await page.getByRole('button', { name: 'Record the note' }).click();
    await page.getByRole('form').getByRole('alert').waitFor();
    expect(await page.getByLabel('Note', { exact: true }).inputValue()).toBe('Crew at the gate');
    expect(deeds()).toEqual([]);

    await page.unroute('**/commands');
    await page.getByRole('button', { name: 'Record the note' }).click();
    await page.locator('.deeds li', { hasText: 'm.berg noted: Crew at the gate' }).waitFor();
    watched.complaints.length = 0;
  });
});

describe('shelving', () => {
  it('is offered where it is allowed, within the limit that the station tells, and undone', async () => {
    await contact(station, yard2, ['07:17:39', 'release-disconnect', 'active']);
    await open(yard2);
    const may = alerts(yard2).filter(({ shelvingLimit_s }) => shelvingLimit_s > 0);
    const links = page.locator('.alerts').getByRole('link', { name: /^Shelve/ });
    expect(await links.count()).toBe(may.length);
    expect(may.length).toBeGreaterThan(0);
    await links.first().click();
    const limit_min = Math.floor((may[0]?.shelvingLimit_s ?? 0) / 60);
    await page.getByLabel('Minutes').fill(String(limit_min + 1));
    await page.getByLabel('Reason').fill('Planned work on the release');
    expect(await page.getByRole('button', { name: 'Shelve it' }).isDisabled()).toBe(true);
    await page.getByLabel('Minutes').fill(String(limit_min));
    await picture(page, 'shelve-wide');
    await page.getByRole('button', { name: 'Shelve it' }).click();
    await page.getByText(/^Shelved by m\.berg until .*: Planned work on the release$/).waitFor();
    expect(alerts(yard2).map(({ state }) => state)).toContain('shelved');

    await page.getByRole('button', { name: /^Take off the shelf/ }).click();
    await page.getByRole('button', { name: /^Take off the shelf/ }).waitFor({ state: 'detached' });
    expect(alerts(yard2).map(({ state }) => state)).not.toContain('shelved');
  });

  it('is not offered for an emergency', async () => {
    await open();
    await page.locator('.alerts li').first().waitFor();

    expect(await page.getByRole('link', { name: /^Shelve/ }).count()).toBe(0);
  });
});

describe('a shift', () => {
  it('is handed over with what is open, a note, and to whom', async () => {
    station.moveTo(at('07:17:50'));
    await timeReached(station, deluge1);
    await page.goto(`${desk.url}/shift`);
    await page.locator('.open-items li').first().waitFor();
    expect(await page.locator('.open-items h3').allTextContents()).toEqual(['deluge-1, act now', 'deluge-4, soon']);
    await page.getByLabel('To', { exact: true }).fill('a.lund');
    await page.getByLabel('What the next shift must know').fill('Crew at the gate, deluge-1 still flows.');
    await page.getByRole('button', { name: 'Hand over the shift' }).click();
    await page.locator('.hand-overs li').waitFor();
    await picture(page, 'shift-handed-over', true);

    expect(await page.locator('.hand-overs h3').textContent()).toMatch(/^m\.berg to a\.lund, \d\d:\d\d:\d\d$/);
    expect(await page.locator('.hand-overs').textContent()).toMatch(
      /deluge-1: Pull station, loading dock \(late: acknowledge it, retransmit it to the fire service/,
    );
    expect(await page.getByLabel('To', { exact: true }).inputValue()).toBe('');
  });
});
