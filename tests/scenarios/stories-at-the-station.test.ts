import { describe, expect, it } from 'vitest';
import { findingsInReplay } from '../support/told-by-replay.ts';
import { stories } from '../support/stories.ts';
import { toldByStation } from '../support/told-by-station.ts';

/** Between them: trips and tests, commands, Contact ID, duplicates, broken payloads, a lost link, late signals, gaps, clocks. */
const chosen = new Set([
  'a-broken-payload-stops-nothing-behind-it',
  'a-crew-leaves-with-the-supply-valve-closed',
  'a-gap-in-the-sequence-is-told',
  'a-lost-link-holds-no-finding-back-and-late-signals-take-it-back',
  'a-normal-trip-and-restoration-raises-nothing',
  'a-normal-trip-on-a-panel-that-latches-its-alarms-raises-nothing',
  'a-panel-clock-ahead-by-ninety-seconds-is-told-at-once',
  'a-release-while-the-supply-valve-is-closed-may-bring-no-water',
  'a-restoral-overtaken-by-the-reset-takes-the-finding-back',
  'an-alarm-test-without-waterflow-is-told-at-its-end',
  'duplicates-of-a-normal-test-are-counted-and-raise-nothing',
  'reset-before-the-pull-station-cleared-releases-into-a-closed-valve',
]);

describe('the recorded stories, through a real broker and the real station', () => {
  const told = stories().filter(({ name }) => chosen.has(name));

  it('are all there', () => {
    expect(told.map(({ name }) => name)).toEqual([...chosen].sort());
  });

  it.each(told)('$scenario.claim: a client of the broker hears what replay says', async (story) => {
    const expected = findingsInReplay(story).map(({ code, status, severity, at }) => ({
      code,
      status,
      severity,
      at: new Date(at).toISOString(),
    }));

    const heard = await toldByStation(story);

    expect(heard.map(({ code, status, severity, at }) => ({ code, status, severity, at }))).toEqual(expected);
  });
});
