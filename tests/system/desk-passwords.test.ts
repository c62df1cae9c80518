import type { OpenDesk } from '@tidemark/desk';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { deskOver } from '../browser/fixtures/browser.ts';
import { Door, loginOf, outcome, password } from '../browser/fixtures/door.ts';
import type { MemoryStation } from '../browser/fixtures/memory-station.ts';
import { quietStation } from '../browser/fixtures/quayside-story.ts';

let station: MemoryStation;
let desk: OpenDesk;
let door: Door;

beforeEach(async () => {
  station = await quietStation();
  desk = await deskOver(station);
  door = new Door(station, desk);
});

afterEach(() => desk.close());

describe('guessing a password', () => {
  it('is slowed down more with each failure, says how long, and lets the right one in afterwards', async () => {
    await door.admit('t.lund');
    const waits: (string | undefined)[] = [];
    for (let guess = 0; guess < 4; guess += 1)
      expect(outcome(await door.logIn('t.lund', 'guess'))).toBe('wrong-name-or-password');
    for (const wait_s of [1, 2, 4, 8]) {
      const refused = await door.logIn('t.lund', password);
      expect(outcome(refused)).toBe('too-many-attempts');
      waits.push(refused.headers['retry-after'] as string);
      door.pass(wait_s);
      expect(outcome(await door.logIn('t.lund', 'guess'))).toBe('wrong-name-or-password');
    }

    expect(waits).toEqual(['1', '2', '4', '8']);
    door.pass(60);
    expect(outcome(await door.logIn('t.lund'))).toBe(200);
    expect(outcome(await door.logIn('t.lund', 'guess'))).toBe('wrong-name-or-password');
    expect(outcome(await door.logIn('t.lund'))).toBe(200);
  });

  it('holds up nobody else at the same address who has been in from there', async () => {
    await door.admit('t.lund');
    await door.admit('k.moen');
    expect(outcome(await door.logIn('k.moen'))).toBe(200);
    let last: string | number = '';
    for (let guess = 0; guess < 40; guess += 1) last = outcome(await door.logIn(`guess-${guess}`, 'guess'));

    expect(last).toBe('too-many-attempts');
    expect(outcome(await door.logIn('k.moen'))).toBe(200);
    expect(outcome(await door.logIn('t.lund'))).toBe('too-many-attempts');
    door.pass(120);
    expect(outcome(await door.logIn('t.lund'))).toBe(200);
  });
});

describe('a one-time link', () => {
  it('sets the password once, for who holds it, and the journal keeps neither', async () => {
    const token = await door.invite('t.lund');
    expect(outcome(await door.setPassword(token))).toBe(200);
    expect(outcome(await door.setPassword(token, 'another four gulls over it'))).toBe('link-not-valid');
    expect(outcome(await door.logIn('t.lund'))).toBe(200);

    const kept: string[] = [];
    for await (const { stream, data } of station.journal.readAll())
      if (stream === 'user/t.lund') kept.push(JSON.stringify(data));
    expect(kept.length).toBe(2);
    expect(kept.join()).not.toContain(token);
    expect(kept.join()).not.toContain(password);
    // PHC string format, with the cost that OWASP's Password Storage Cheat Sheet asks for (from memory).
    expect(kept[1]).toMatch(/"\$argon2id\$v=19\$m=19456,t=2,p=1\$[A-Za-z0-9+/]{22,}\$[A-Za-z0-9+/]{43}"/);
  });

  it('is used up by one of two that come at the same time', async () => {
    const token = await door.invite('t.lund');
    const both = await Promise.all([
      door.setPassword(token, 'the first of two gulls'),
      door.setPassword(token, 'the second of two gulls'),
    ]);

    expect(both.map(outcome).toSorted()).toEqual([200, 'link-not-valid']);
  });

  it('does no more after a day, after a newer one, or once the person is shut out', async () => {
    const old = await door.invite('t.lund');
    const renewed = await door.renewLink('t.lund');
    const shutOut = await door.invite('gone');
    await door.shutOut('gone');
    const late = await door.invite('late');

    expect(outcome(await door.setPassword(old))).toBe('link-not-valid');
    expect(outcome(await door.setPassword(shutOut))).toBe('link-not-valid');
    expect(outcome(await door.setPassword(renewed))).toBe(200);
    door.pass(86400);
    expect(outcome(await door.setPassword(late))).toBe('link-not-valid');
  });

  it.each([
    ['fourteen chars', 'invalid-request'],
    ['aaaaaaaaaaaaaaaaaaaa', 'weak-password'],
    ['abcdefghijklmnopqrst', 'weak-password'],
    ['t.lund-tidemark-1', 'weak-password'],
  ])('takes no password that is too easy to guess: %s', async (weak, code) => {
    const token = await door.invite('t.lund');

    expect(outcome(await door.setPassword(token, weak))).toBe(code);
    expect(outcome(await door.setPassword(token, 'a café above the quay'))).toBe(200);
    // Typed on another keyboard: the same letter, written as two.
    expect(outcome(await door.logIn('t.lund', 'a café above the quay'.normalize('NFD')))).toBe(200);
  });

  it('ends every session of its person', async () => {
    await door.admit('t.lund');
    const before = loginOf(await door.logIn('t.lund'));
    const token = await door.renewLink('t.lund');
    expect(await door.isIn(before)).toBe(true);

    await door.setPassword(token, 'five gulls over the quay');

    expect(await door.isIn(before)).toBe(false);
    expect(outcome(await door.logIn('t.lund'))).toBe('wrong-name-or-password');
  });
});

describe('another password', () => {
  it('is taken from who knows the one so far; the other sessions end, this one stays', async () => {
    await door.admit('t.lund');
    const [mine, other] = [loginOf(await door.logIn('t.lund')), loginOf(await door.logIn('t.lund'))];
    const change = (current: string) =>
      door.post('/api/session/password', { current, password: 'five gulls over the quay' }, mine);

    expect(outcome(await change('not the password'))).toBe('wrong-name-or-password');
    expect(outcome(await change(password))).toBe(200);
    expect([await door.isIn(mine), await door.isIn(other)]).toEqual([true, false]);
  });
});
